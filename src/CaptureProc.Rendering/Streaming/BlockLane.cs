namespace CaptureProc.Rendering.Streaming;

/// <summary>Blocks between two stages: full ones one way, empty ones back.</summary>
/// <remarks>
/// Thread: one at each end. Waiting is a plain wait on a monitor. The collections of the framework spin before they sleep, which
/// pays for waits of microseconds; a stage here waits for milliseconds, and on two cores the third one would spin away the
/// time of the two that work.
/// </remarks>
internal sealed class BlockLane
{
    private readonly object gate = new();
    private readonly Queue<AudioBlock> full = new();
    private readonly Queue<AudioBlock> empty = new();
    private bool isEnded;
    private bool isStopped;

    public BlockLane(int blocks, int channels, int blockFrames)
    {
        for (var i = 0; i < blocks; i++)
            empty.Enqueue(new AudioBlock(channels, blockFrames));
    }

    /// <summary>A block to fill; waits until one has come back.</summary>
    public AudioBlock TakeEmpty() => Take(empty)!;

    public void PutEmpty(AudioBlock block) => Put(empty, block);

    public void PutFull(AudioBlock block) => Put(full, block);

    /// <summary>No more full blocks will come.</summary>
    public void End()
    {
        lock (gate)
        {
            isEnded = true;
            Monitor.PulseAll(gate);
        }
    }

    /// <summary>The next full block; null after the last one.</summary>
    public AudioBlock? TakeFull() => Take(full);

    /// <summary>Ends every wait, now and later, with an <see cref="OperationCanceledException"/>.</summary>
    public void Stop()
    {
        lock (gate)
        {
            isStopped = true;
            Monitor.PulseAll(gate);
        }
    }

    private void Put(Queue<AudioBlock> queue, AudioBlock block)
    {
        lock (gate)
        {
            queue.Enqueue(block);
            Monitor.PulseAll(gate);
        }
    }

    private AudioBlock? Take(Queue<AudioBlock> queue)
    {
        lock (gate)
        {
            while (!isStopped && queue.Count == 0 && !(isEnded && queue == full))
                Monitor.Wait(gate);
            if (isStopped)
                throw new OperationCanceledException();
            return queue.Count > 0 ? queue.Dequeue() : null;
        }
    }
}
