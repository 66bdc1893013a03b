using System.Numerics;
using CaptureProc.Analysis.Spectra;

namespace CaptureProc.Analysis.Clicks;

/// <summary>How well two sounds go together at a lag.</summary>
/// <param name="DelaySamples">The lag.</param>
/// <param name="Value">Their correlation there, with sign.</param>
/// <param name="Bend">Second derivative of the correlation.</param>
public readonly record struct Alignment(double DelaySamples, double Value, double Bend);

/// <summary>The band in which a delay is meant: the lag at which two direct sounds correlate best from 300 Hz to 8 kHz.</summary>
/// <remarks>
/// Thread: [any], once made. There claps have their power and microphones agree best. Shape: cross spectra of a transform, bin by bin, whose
/// phase falls with the frequency where the second sound is the later one.
/// </remarks>
public sealed class MeantBand
{
    private const double FromHz = 300;
    private const double ToHz = 8000;

    private readonly Transform transform;

    public MeantBand(double sampleRateHz, Transform transform)
    {
        this.transform = transform;
        var binHz = sampleRateHz / transform.Size;
        (First, End) = ((int)Math.Ceiling(FromHz / binHz), Math.Min((int)(ToHz / binHz) + 1, transform.BinCount));
    }

    /// <summary>First bin of the band.</summary>
    public int First { get; }

    /// <summary>The bin after its last.</summary>
    public int End { get; }

    /// <summary>The lag, within a reach about 0, at which a cross spectrum is in phase best, the right way round.</summary>
    public Alignment Best(ReadOnlySpan<Complex> cross, double reachSamples)
    {
        var best = new Alignment(0, double.NegativeInfinity, 0);
        for (var delay = -reachSamples; delay <= reachSamples; delay += 0.5)
            if (Of(cross, delay).Value is var value && value > best.Value)
                best = new Alignment(delay, value, 0);
        return Refined(cross, best.DelaySamples);
    }

    /// <summary>Every lag at which it goes together better than beside it, the right way round or inverted; the best first.</summary>
    public List<Alignment> Summits(ReadOnlySpan<Complex> cross, double reachSamples)
    {
        const double step = 0.5;
        var count = 2 * (int)(reachSamples / step) + 1;
        var values = new double[count];
        for (var i = 0; i < count; i++)
            values[i] = Of(cross, (i - count / 2) * step).Value;
        var found = new List<Alignment>();
        for (var i = 1; i < count - 1; i++)
            if (Math.Abs(values[i]) >= Math.Max(Math.Abs(values[i - 1]), Math.Abs(values[i + 1])))
                found.Add(Refined(cross, (i - count / 2) * step));
        found.Sort((a, b) => Math.Abs(b.Value).CompareTo(Math.Abs(a.Value)));
        return found;
    }

    /// <summary>By how much the lag of a summit changes with a change of the cross spectrum.</summary>
    public double Slope(ReadOnlySpan<Complex> change, Alignment at) => -Derivatives(change, at.DelaySamples).Slope / at.Bend;

    /// <summary>The correlation at a lag.</summary>
    public Alignment Of(ReadOnlySpan<Complex> cross, double delaySamples)
    {
        var (value, _, bend) = Derivatives(cross, delaySamples);
        return new Alignment(delaySamples, value, bend);
    }

    /// <summary>Newton's steps on the slope.</summary>
    private Alignment Refined(ReadOnlySpan<Complex> cross, double delay)
    {
        for (var round = 0; round < 8; round++)
        {
            var (value, slope, bend) = Derivatives(cross, delay);
            if (!(value * bend < 0))
                break;
            var step = Math.Clamp(slope / bend, -0.25, 0.25);
            delay -= step;
            if (Math.Abs(step) < 1e-7)
                break;
        }
        return Of(cross, delay);
    }

    private (double Value, double Slope, double Bend) Derivatives(ReadOnlySpan<Complex> cross, double delay)
    {
        var (value, slope, bend) = (0.0, 0.0, 0.0);
        var step = Complex.FromPolarCoordinates(1, transform.Omega(1) * delay);
        var turn = Complex.FromPolarCoordinates(1, transform.Omega(First) * delay);
        for (var bin = First; bin < End; bin++)
        {
            var omega = transform.Omega(bin);
            var turned = cross[bin] * turn;
            turn *= step;
            value += turned.Real;
            slope -= omega * turned.Imaginary;
            bend -= omega * omega * turned.Real;
        }
        return (value, slope, bend);
    }
}
