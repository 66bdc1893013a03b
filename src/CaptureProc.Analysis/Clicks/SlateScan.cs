using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Analysis.Clicks;

/// <summary>Goes through a recording once and collects the sudden sounds.</summary>
/// <remarks>Thread: one at a time. Memory: one block a channel, and what is found.</remarks>
public sealed class SlateScan
{
    private readonly IFrameSource source;
    private readonly SlateInput input;
    private readonly int decimation;

    public SlateScan(IFrameSource source, SlateInput input)
    {
        (this.source, this.input) = (source, input);
        decimation = new Excerpts(input.SampleRateHz).Decimation;
    }

    /// <summary>Whether the array carried anything but digital silence in what was searched last.</summary>
    public bool IsArrayHeard { get; private set; }

    /// <summary>Every sudden sound between two frames.</summary>
    public List<ClickEvent> Find(long firstFrame, long endFrame, Action<long>? progress)
    {
        var spots = input.Spots.Count;
        // One more line than spots: the array, which may hear a clap in the middle before any spot does.
        var scanners = new OnsetScanner[spots + 1];
        var onsets = new List<Onset>[spots + 1];
        for (var i = 0; i <= spots; i++)
            (scanners[i], onsets[i]) = (new OnsetScanner(decimation), []);
        var planar = new float[]?[source.ChannelCount];
        foreach (var channel in input.Spots.SelectMany(s => s.Set.Channels).Concat(input.ArraySet.Channels))
            planar[channel] = new float[OnsetScanner.LongestRun];
        var sum = new float[OnsetScanner.LongestRun];

        for (var frame = firstFrame; frame < endFrame; frame += OnsetScanner.LongestRun)
        {
            var count = (int)Math.Min(OnsetScanner.LongestRun, endFrame - frame);
            source.Read(frame, planar, count);
            for (var i = 0; i <= spots; i++)
                scanners[i].Process(Line(i < spots ? input.Spots[i].Set : input.ArraySet, planar, sum, count), onsets[i]);
            progress?.Invoke(frame + count);
        }
        for (var i = 0; i <= spots; i++)
        {
            scanners[i].Finish(onsets[i]);
            for (var n = 0; n < onsets[i].Count; n++)
                onsets[i][n] = onsets[i][n] with { Frame = onsets[i][n].Frame + firstFrame };
        }
        IsArrayHeard = scanners[spots].HasSound;
        return ClickEvents.Gather(onsets, spots, input.SampleRateHz);
    }

    private static ReadOnlySpan<float> Line(ChannelSet set, float[]?[] planar, float[] sum, int count)
    {
        if (set.Channels.Count == 1)
            return planar[set.Channels[0]].AsSpan(0, count);
        var line = sum.AsSpan(0, count);
        planar[set.Channels[0]].AsSpan(0, count).CopyTo(line);
        for (var i = 1; i < set.Channels.Count; i++)
            SampleSum.Add(planar[set.Channels[i]].AsSpan(0, count), line);
        return line;
    }
}
