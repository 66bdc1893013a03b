using System.Runtime.ExceptionServices;
using CaptureProc.Wav;

namespace CaptureProc.Rendering.Streaming;

/// <summary>Reads, renders and writes at once: three stages, each on a thread of its own, over a fixed set of blocks.</summary>
/// <remarks>
/// Memory: a few blocks a stage, whatever the length of the recording. Reading and writing are mostly decoding and waiting for
/// the disk, so with two cores the whole takes hardly longer than its slowest stage.
/// Errors: the first exception of any stage stops the others and is thrown here; the outputs are then incomplete and their
/// owner discards them.
/// </remarks>
public static class Conveyor
{
    private const int BlocksInFlight = 3;

    // Long enough that waking the next stage (tens of microseconds) is nothing beside its work on a block (milliseconds).
    private const int WantedBlockFrames = 65536;

    // What bounds the memory where many channels are written at once: 4 MB a block.
    private const int MaxBlockSamples = 1 << 20;

    /// <param name="input">The recording, read from its position 0.</param>
    /// <param name="renderer">What makes the outputs.</param>
    /// <param name="outputs">Files, each taking as many of the renderer's channels as it has, one after the other.</param>
    /// <param name="progress">Told the share that has been written, 0…1; null for nobody.</param>
    public static void Run(WavInput input, IBlockRenderer renderer, IReadOnlyList<WavOutput> outputs, IProgress<double>? progress = null)
    {
        var channels = Math.Max(renderer.InputChannels.Count, renderer.OutputChannelCount);
        var wanted = Math.Min(WantedBlockFrames, MaxBlockSamples / Math.Max(1, channels));
        var blockFrames = Math.Max(1, wanted / renderer.MaxBlockFrames) * renderer.MaxBlockFrames;
        var read = new BlockLane(BlocksInFlight, renderer.InputChannels.Count, blockFrames);
        var rendered = new BlockLane(BlocksInFlight, renderer.OutputChannelCount, blockFrames);
        var failure = new FirstFailure(read, rendered);

        var reader = failure.Start("reader", () => ReadAll(input, renderer, read));
        var writer = failure.Start("writer", () => WriteAll(input.FrameCount, renderer, rendered, outputs, progress));
        failure.Guard(() => RenderAll(renderer, read, rendered));
        reader.Join();
        writer.Join();
        failure.Rethrow();
    }

    private static void ReadAll(WavInput input, IBlockRenderer renderer, BlockLane lane)
    {
        input.Seek(0);
        var left = input.FrameCount + renderer.LatencyFrames;
        var slots = new float[]?[input.ChannelCount];
        while (left > 0)
        {
            var block = lane.TakeEmpty();
            Array.Clear(slots);
            for (var i = 0; i < renderer.InputChannels.Count; i++)
                slots[renderer.InputChannels[i]] = block.Channels[i];
            block.Frames = (int)Math.Min(left, block.Channels[0].Length);
            var there = input.Read(slots, block.Frames);
            for (var i = 0; i < block.Channels.Length; i++)
            {
                // Two capsules on one channel would be a session's mistake; the reader filled one array, the other takes its copy.
                if (slots[renderer.InputChannels[i]] is { } filled && filled != block.Channels[i])
                    filled.CopyTo(block.Channels[i], 0);
                block.Channels[i].AsSpan(there, block.Frames - there).Clear();
            }
            left -= block.Frames;
            lane.PutFull(block);
        }
        lane.End();
    }

    private static void RenderAll(IBlockRenderer renderer, BlockLane from, BlockLane to)
    {
        while (from.TakeFull() is { } input)
        {
            var output = to.TakeEmpty();
            output.Frames = input.Frames;
            for (var done = 0; done < input.Frames; done += renderer.MaxBlockFrames)
                renderer.Render(input.Channels, output.Channels, done, Math.Min(renderer.MaxBlockFrames, input.Frames - done));
            from.PutEmpty(input);
            to.PutFull(output);
        }
        to.End();
    }

    private static void WriteAll(
        long frames, IBlockRenderer renderer, BlockLane lane, IReadOnlyList<WavOutput> outputs, IProgress<double>? progress)
    {
        var toDrop = renderer.LatencyFrames;
        long written = 0;
        var firsts = new int[outputs.Count];
        for (var i = 1; i < firsts.Length; i++)
            firsts[i] = firsts[i - 1] + outputs[i - 1].ChannelCount;
        while (lane.TakeFull() is { } block)
        {
            var skip = Math.Min(toDrop, block.Frames);
            toDrop -= skip;
            WriteBlock(block, skip, outputs, firsts);
            written += block.Frames - skip;
            lane.PutEmpty(block);
            progress?.Report((double)written / Math.Max(1, frames));
        }
    }

    // Encoding is most of the work, and every file has an encoder of its own: as many at once as there are processors.
    private static void WriteBlock(AudioBlock block, int skip, IReadOnlyList<WavOutput> outputs, int[] firsts)
    {
        void Write(int i) => outputs[i].Write(block.Channels[firsts[i]..(firsts[i] + outputs[i].ChannelCount)], skip, block.Frames - skip);
        if (outputs.Count == 1)
        {
            Write(0);
            return;
        }
        try
        {
            Parallel.For(0, outputs.Count, Write);
        }
        catch (AggregateException e)
        {
            // One clear line about one of the files, not a list of the same disk's complaints.
            ExceptionDispatchInfo.Throw(e.InnerExceptions[0]);
        }
    }

    private sealed class FirstFailure(params BlockLane[] lanes)
    {
        private ExceptionDispatchInfo? first;

        public Thread Start(string name, Action work)
        {
            var thread = new Thread(() => Guard(work)) { IsBackground = true, Name = $"CaptureProc {name}" };
            thread.Start();
            return thread;
        }

        public void Guard(Action work)
        {
            try
            {
                work();
            }
            catch (OperationCanceledException)
            {
                // Another stage has failed, and its exception is the one that counts.
            }
            catch (Exception e)
            {
                Interlocked.CompareExchange(ref first, ExceptionDispatchInfo.Capture(e), null);
                foreach (var lane in lanes)
                    lane.Stop();
            }
        }

        public void Rethrow() => first?.Throw();
    }
}
