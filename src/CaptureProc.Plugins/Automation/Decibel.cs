namespace CaptureProc.Plugins.Automation;

internal static class Decibel
{
    /// <summary>A gain in dB as a factor; 0 dB is exactly 1. [any]</summary>
    public static float ToLinear(float db) => db == 0 ? 1 : (float)Math.Pow(10, db / 20.0);
}
