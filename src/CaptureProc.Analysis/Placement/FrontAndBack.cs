using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Analysis.Placement;

/// <summary>Energy from ahead against energy from behind over a whole stretch of sound.</summary>
/// <remarks>
/// Thread: one at a time. Definition: that of the array plug-in's meter (FrontBackEnergy in Dsp), two virtual cardioids
/// (W + X)/2 and (W − X)/2, but their plain means over the stretch instead of the last seconds. A diffuse field reads 0 dB.
/// </remarks>
public sealed class FrontAndBack
{
    private double squares, products;

    public void Add(float[][] field, int frames)
    {
        ReadOnlySpan<float> w = field[0].AsSpan(0, frames), x = field[3].AsSpan(0, frames);
        products += SignalPower.SumOfProducts(w, x);
        squares += SignalPower.SumOfSquares(w) + SignalPower.SumOfSquares(x);
    }

    /// <summary>Ahead over behind, −60…60 dB; null where nothing sounded.</summary>
    public double? RatioDb => squares > 0
        ? Math.Clamp(10 * Math.Log10(Math.Max(squares + 2 * products, 1e-30) / Math.Max(squares - 2 * products, 1e-30)), -60, 60)
        : null;
}
