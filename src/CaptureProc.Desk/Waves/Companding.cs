namespace CaptureProc.DeskServer.Waves;

/// <summary>A sample in one byte, fine where it is small: x = sign·(q/127)².</summary>
/// <remarks>
/// Steps are 1.6 % at full scale, less than a pixel of a lane 120 pixels high, and the smallest is −84 dB, so a soft lane can be
/// drawn 40 dB larger. Linear bytes would end at −42 dB. The page undoes it (<c>waves.js</c>).
/// </remarks>
internal static class Companding
{
    private const float Full = 127;

    public static sbyte Down(float sample)
    {
        var q = MathF.Sqrt(MathF.Min(1, MathF.Abs(sample))) * Full;
        return (sbyte)MathF.CopySign(MathF.Round(q), sample);
    }
}
