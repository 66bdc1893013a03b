using System.Numerics;
using CaptureProc.Analysis.Clicks;
using CaptureProc.Dsp.Arrays;

namespace CaptureProc.Analysis.Patch;

/// <summary>What makes a tap a tap: it stands near one capsule, which therefore hears it louder and earlier than the other three.</summary>
/// <remarks>
/// Thread: [any]. A source at arm's length and more reaches all four capsules at one level but for their patterns, and one that
/// looks straight at it leads the next by no more than the pattern gives. A finger's breadth away the distances differ as well:
/// the lead is greater than any direction can give. Two lines follow from the closed form of a point source. Half-way between the
/// greatest lead from afar and that of a tap 7 cm in front of its capsule lies what nothing from afar reaches: of 1,500 drawn
/// directions none. Real capsules are a decibel apart, though, and so are hands; three quarters of the greatest lead from afar leave
/// them room, and of 100 claps from anywhere 5 to 10 pass that line: four in a row, at four capsules, never.
/// </remarks>
internal sealed class TapSigns
{
    public const double FromHz = 500;
    public const double ToHz = 7000;

    private const double FarthestTapM = 0.07;
    private const double FarM = 30;
    private const double RoomForCapsules = 0.75;

    // Of what sound needs from the capsule's place to those of the others; the rest is for hands and for capsules of some size.
    private const double LeastShareOfTime = 0.25;

    private readonly double sampleRateHz;
    private readonly int firstBin, lastBin, size;
    private readonly double leastSeconds;

    public TapSigns(CapsuleArray array, double sampleRateHz, double speedOfSoundMps)
    {
        this.sampleRateHz = sampleRateHz;
        size = SuddenSounds.TransformSize(sampleRateHz);
        (firstBin, lastBin) = ((int)Math.Ceiling(FromHz * size / sampleRateHz), (int)(ToHz * size / sampleRateHz));
        var manifold = new PointSourceManifold(array, speedOfSoundMps);
        var look = array.LookDirections();
        var leads = Enumerable.Range(0, look.Length).Select(k => (Near: Lead(manifold, look, k, array.RadiusM + FarthestTapM), Far: Lead(manifold, look, k, FarM))).ToList();
        SureLeadDb = (leads.Min(l => l.Near) + leads.Max(l => l.Far)) / 2;
        LeastLeadDb = RoomForCapsules * leads.Max(l => l.Far);
        leastSeconds = LeastShareOfTime * array.RadiusM * 4 / 3 / speedOfSoundMps;
    }

    /// <summary>By how much the nearest channel of every one of a set of taps is louder than the next.</summary>
    public double LeastLeadDb { get; }

    /// <summary>A lead that no single sound from afar has.</summary>
    public double SureLeadDb { get; }

    /// <summary>Level of every channel in the band that tells.</summary>
    public double[] LevelsDb(SuddenSound sound) =>
        [.. Enumerable.Range(0, sound.Re.Length).Select(c => 10 * Math.Log10(sound.Energy(c, firstBin, lastBin) + 1e-30))];

    /// <summary>By how much the loudest channel leads the next.</summary>
    public static double LeadDb(IReadOnlyList<double> levelsDb) => levelsDb.OrderDescending().Take(2).ToList() is [var first, var second] ? first - second : 0;

    /// <summary>Levels of a set of taps, one row each, with the gains of the channels taken out as far as taps at all capsules tell them.</summary>
    public double[][] WithoutGains(IReadOnlyList<SuddenSound> taps)
    {
        var levels = taps.Select(LevelsDb).ToArray();
        foreach (var row in levels)
        {
            // A tap is as loud as it was made.
            var mean = row.Average();
            for (var c = 0; c < row.Length; c++)
                row[c] -= mean;
        }
        var channels = levels[0].Length;
        for (var c = 0; c < channels; c++)
        {
            var mean = levels.Average(row => row[c]);
            foreach (var row in levels)
                row[c] -= mean;
        }
        return levels;
    }

    /// <summary>Whether a channel hears a sound before the others do, by as much as its capsule is nearer.</summary>
    public bool IsFirst(SuddenSound sound, int channel)
    {
        var others = Enumerable.Range(0, sound.Re.Length).Where(c => c != channel).ToList();
        return others.Average(c => LaterSeconds(sound, channel, c)) > leastSeconds;
    }

    // Where the cross-correlation of two channels is largest, whatever their polarities.
    private double LaterSeconds(SuddenSound sound, int a, int b)
    {
        const int Steps = 60;
        const double ReachSeconds = 0.3e-3;
        var (best, at) = (-1.0, 0.0);
        for (var step = -Steps; step <= Steps; step++)
        {
            var seconds = ReachSeconds * step / Steps;
            var turn = Complex.FromPolarCoordinates(1, 2 * Math.PI * sampleRateHz / size * seconds);
            var rotation = Complex.Pow(turn, firstBin);
            var sum = Complex.Zero;
            for (var bin = firstBin; bin <= lastBin; bin++, rotation *= turn)
                sum += new Complex(sound.Re[b][bin], sound.Im[b][bin]) * new Complex(sound.Re[a][bin], -sound.Im[a][bin]) * rotation;
            if (Math.Abs(sum.Real) > best)
                (best, at) = (Math.Abs(sum.Real), seconds);
        }
        return at;
    }

    private static double Lead(PointSourceManifold manifold, Dsp.Geometry.Vector3D[] look, int capsule, double distanceM)
    {
        const double StepHz = 100;
        var response = new Complex[(int)(ToHz / StepHz) + 1];
        var levels = look.Select((_, c) =>
        {
            manifold.Fill(c, look[capsule], distanceM, 2 * Math.PI * StepHz, response);
            return 10 * Math.Log10(response[(int)(FromHz / StepHz)..].Sum(h => h.Real * h.Real + h.Imaginary * h.Imaginary));
        }).ToList();
        return levels[capsule] - levels.Where((_, c) => c != capsule).Max();
    }
}
