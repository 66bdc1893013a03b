using System.Globalization;
using CaptureProc.Rendering.Streaming;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Rendering.Conversion;

/// <summary>What is checked about takes and outputs, before the work and after it.</summary>
internal static class TakeChecks
{
    /// <summary>Refuses an output that is one of the files being read: a take is never written over.</summary>
    public static void RequireOther(string output, WavInput take) => PendingFile.RequireOther(output, take.Files.Select(f => f.Path));

    /// <summary>What is wrong with the files of the take although they could be read.</summary>
    public static IEnumerable<Finding> Faults(WavInput take) => take.Faults.Select(fault => new Finding("recording", fault));

    /// <summary>An array that recorded nothing at all is refused; single silent capsules are findings.</summary>
    public static IEnumerable<Finding> Silence(ArrayEntry array, SilenceWatch renderer, WavInput take)
    {
        var silent = array.Channels.Index().Where(c => renderer.IsSilent(c.Item)).ToList();
        if (silent.Count == array.Channels.Count)
            throw new UnusableInputException("silence",
                $"{take.FileOf(array.Channels[0]).Path}: the channels of array '{array.Id}' ({string.Join(", ", array.Channels)}) are silent from beginning to end; check the take and the session's channels");
        return silent.Select(c => new Finding("silent-capsule",
            $"{take.FileOf(c.Item).Path}: channel {c.Item}, capsule {array.Capsules[c.Index].Label} of array '{array.Id}', is silent from beginning to end and the field is wrong without it; check cable and channel"));
    }

    /// <summary>Spots on which nothing was recorded.</summary>
    public static IEnumerable<Finding> SilentSpots(IEnumerable<SpotEntry> spots, SilenceWatch renderer, WavInput take) => spots
        .Where(s => s.Channels.All(renderer.IsSilent))
        .Select(s => new Finding("silent-spot",
            $"{take.FileOf(s.Channels[0]).Path}: spot '{s.Id}' (channel {string.Join(", ", s.Channels)}) is silent from beginning to end; check the take and the session's channels"));

    /// <summary>Samples that did not fit the file.</summary>
    public static IEnumerable<Finding> Clipping(WavOutput output)
    {
        if (output.ClippedSamples > 0)
            yield return new Finding("clipped", string.Create(CultureInfo.InvariantCulture,
                $"{output.Path}: {output.ClippedSamples} samples are beyond full scale, by up to {20 * Math.Log10(output.HighestPeak):0.0} dB, and were held there; write --bits 32f to keep them"));
    }
}
