using CaptureProc.Simulation.Microphones;
using CaptureProc.Simulation.Signals;

namespace CaptureProc.Simulation.Disturbances;

/// <summary>Noise of low frequencies, made at a fraction of the rate and drawn out in straight lines.</summary>
/// <remarks>
/// Thread: one at a time. First-order low cuts and roll-offs colour it. The fraction is a power of two that leaves at least
/// twenty times the highest corner, so what the straight lines add or miss lies 40 dB and more below.
/// </remarks>
internal sealed class SlowNoise
{
    private readonly Biquad[] filters;
    private readonly int stride = 1;
    private readonly double size;

    /// <param name="corners">Corner in Hz, and whether it is a low cut.</param>
    public SlowNoise((double Hz, bool IsLowCut)[] corners, double highestHz, double sampleRateHz)
    {
        while (stride < 32 && sampleRateHz / (2 * stride) >= 20 * highestHz)
            stride *= 2;
        var rateHz = sampleRateHz / stride;
        filters = Array.ConvertAll(corners, corner => corner.IsLowCut
            ? Biquad.FirstOrderLowCut(corner.Hz, rateHz) : Biquad.FirstOrderRollOff(corner.Hz, rateHz));
        size = 1 / RmsForUnitWhite(rateHz);
    }

    /// <summary>Adds noise of an RMS (in the long run) to a channel.</summary>
    public void Add(Span<double> channel, double rms, SeededRandom chance)
    {
        Span<double> slow = new double[channel.Length / stride + 2];
        QuickGaussian.Fill(chance, rms * size, slow);
        new FilterRow(filters).Process(slow);
        for (var whole = 0; whole * stride < channel.Length; whole++)
        {
            var (value, slope) = (slow[whole], (slow[whole + 1] - slow[whole]) / stride);
            foreach (ref var sample in channel[(whole * stride)..Math.Min(channel.Length, (whole + 1) * stride)])
            {
                sample += value;
                value += slope;
            }
        }
    }

    /// <summary>What the filters leave of white noise of RMS 1, by the trapezium rule over a logarithmic axis.</summary>
    private double RmsForUnitWhite(double rateHz)
    {
        var power = 0.0;
        const int steps = 2000;
        var (lowest, octaves) = (0.1, Math.Log(0.5 * rateHz / 0.1));
        for (var i = 0; i < steps; i++)
        {
            var hz = lowest * Math.Exp(octaves * (i + 0.5) / steps);
            var gain = 1.0;
            foreach (var filter in filters)
                gain *= filter.At(hz, rateHz).Magnitude;
            power += gain * gain * hz * octaves / steps;
        }
        return Math.Sqrt(power / (0.5 * rateHz));
    }
}
