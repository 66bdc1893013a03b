using System.Collections.Concurrent;
using CaptureProc.DeskServer.Door;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.DeskServer.Views;

/// <summary>A recording in the folder, by its header.</summary>
/// <param name="File">Its name in the folder.</param>
/// <param name="Problem">Why it cannot be read; then the rest is empty.</param>
internal sealed record RecordingView(string File, int Channels, int RateHz, double Seconds, IReadOnlyList<string?> Tracks, string? Problem)
{
    private static readonly ConcurrentDictionary<(string Path, long Ticks, long Bytes), RecordingView> Known = new();

    /// <summary>All recordings of a folder; headers are read once.</summary>
    public static IEnumerable<RecordingView> In(DeskFolder folder)
    {
        foreach (var path in folder.Files(".wav", ".bwf", ".rf64", ".bw64", ".w64", ".aif", ".aiff", ".caf", ".flac"))
        {
            var info = new FileInfo(path);
            if (info.Exists)
                yield return Known.GetOrAdd((path, info.LastWriteTimeUtc.Ticks, info.Length), _ => Read(folder.NameOf(path), path));
        }
    }

    private static RecordingView Read(string name, string path)
    {
        try
        {
            using var input = WavInput.Open(path);
            return new RecordingView(name, input.ChannelCount, input.SampleRateHz, (double)input.FrameCount / input.SampleRateHz, [.. input.ChannelNames], null);
        }
        catch (UnusableInputException e)
        {
            return new RecordingView(name, 0, 0, 0, [], e.Message);
        }
    }
}
