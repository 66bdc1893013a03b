using CaptureProc.Wav;

namespace CaptureProc.DeskServer.Waves;

/// <summary>Overviews of recordings, made when they are first looked at and kept while the desk is open.</summary>
/// <remarks>Thread: [any]. A file that has changed since is looked at anew. The oldest goes when there are too many.</remarks>
internal sealed class OverviewShelf
{
    private const int Kept = 4;

    private readonly Lock gate = new();
    private readonly List<(string Key, Overview Overview, CancellationTokenSource Stop)> shelf = [];

    /// <summary>The overview of files that start together; building goes on behind it.</summary>
    public Overview Of(IReadOnlyList<string> paths)
    {
        var key = string.Join('\n', paths.Select(p => $"{p}|{File.GetLastWriteTimeUtc(p).Ticks}|{new FileInfo(p).Length}"));
        lock (gate)
        {
            var index = shelf.FindIndex(s => s.Key == key);
            if (index >= 0)
            {
                var found = shelf[index];
                shelf.RemoveAt(index);
                shelf.Add(found);
                return found.Overview;
            }
            var input = WavInput.Open(new TakeFiles(paths));
            var (overview, stop) = (new Overview(input.ChannelCount, input.FrameCount), new CancellationTokenSource());
            shelf.Add((key, overview, stop));
            if (shelf.Count > Kept)
            {
                shelf[0].Stop.Cancel();
                shelf.RemoveAt(0);
            }
            var builder = new Thread(() =>
            {
                using (input)
                    overview.Build(input, stop.Token);
            }) { IsBackground = true, Name = "CaptureProc overview" };
            builder.Start();
            return overview;
        }
    }
}
