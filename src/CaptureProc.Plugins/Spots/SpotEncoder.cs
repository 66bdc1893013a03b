using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Design;
using CaptureProc.Plugins.Work;
using CaptureProc.Session;

namespace CaptureProc.Plugins.Spots;

/// <summary>The filters of the four-channel spot: a tetrahedral spot's encoder in the room's frame, or four wires.</summary>
/// <remarks>Thread: [main] or the shared worker. Both kinds have the same latency, so one can fade into the other.</remarks>
internal static class SpotEncoder
{
    private static readonly SharedDesigns<int, SplitFilter> SharedWires = new();

    /// <summary>Every channel to itself; one for all instances.</summary>
    public static SplitFilter Wires(int latencyFrames) => SharedWires.Get(latencyFrames, MakeWires);

    private static SplitFilter MakeWires(int latencyFrames)
    {
        var filter = new MatrixFilter(4, 4, latencyFrames + 1, latencyFrames);
        for (var i = 0; i < 4; i++)
            filter.Taps(i, i)[latencyFrames] = 1;
        return new SplitFilter(filter, 2 * filter.LatencyFrames + 1);
    }

    /// <summary>The encoder of the spot's own array, with its active trims; null where the spot is no array that can be resolved.</summary>
    public static SplitFilter? Of(SessionDocument session, string spotName, double sampleRateHz)
    {
        var spot = session.Spots.FirstOrDefault(s => string.Equals(s.Id, spotName, StringComparison.OrdinalIgnoreCase));
        if (spot is null || session.ArrayOf(spot, out _) is not { } array)
            return null;
        var capsules = array.ToCapsuleArray();
        if (ArrayResolution.FindProblem(capsules) is not null)
            return null;
        var filter = EncoderDesign.Design(capsules, sampleRateHz, session.Air.SpeedOfSound, Correction.Full);
        var trimDb = array.TrimDb();
        for (var output = 0; output < 4; output++)
            for (var input = 0; input < 4; input++)
            {
                var gain = (float)Math.Pow(10, trimDb[input] / 20);
                foreach (ref var tap in filter.Taps(output, input))
                    tap *= gain;
            }
        return new SplitFilter(filter, 2 * filter.LatencyFrames + 1);
    }
}
