namespace CaptureProc.Session;

/// <summary>The input or the arguments cannot be used: the one exception that ends a command with exit code 2.</summary>
/// <remarks>The message is one line for the person at the desk and says what is wrong, where, and how to mend it.</remarks>
/// <param name="code">A short, lasting name for programs, in lower case with hyphens: <c>session-damaged</c>.</param>
public sealed class UnusableInputException(string code, string message, Exception? cause = null) : Exception(message, cause)
{
    public string Code { get; } = code;
}
