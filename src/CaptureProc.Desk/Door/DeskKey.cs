using System.Security.Cryptography;
using System.Text;

namespace CaptureProc.DeskServer.Door;

/// <summary>Two secrets of one run: what stands in the address, and what the browser keeps in its place.</summary>
internal sealed class DeskKey
{
    private const int SecretBytes = 32;

    /// <summary>In the address that the terminal prints.</summary>
    public string Token { get; } = NewSecret();

    /// <summary>In the cookie. Another one than the token, so that an address seen over a shoulder is no cookie.</summary>
    public string Pass { get; } = NewSecret();

    public bool IsToken(string? text) => IsSame(text, Token);

    public bool IsPass(string? text) => IsSame(text, Pass);

    // In constant time: how long a wrong guess takes must not tell how much of it was right.
    private static bool IsSame(string? text, string secret) =>
        text is not null && CryptographicOperations.FixedTimeEquals(Encoding.UTF8.GetBytes(text), Encoding.UTF8.GetBytes(secret));

    private static string NewSecret() => Convert.ToHexStringLower(RandomNumberGenerator.GetBytes(SecretBytes));
}
