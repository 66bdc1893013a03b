using CaptureProc.Rendering.Streaming;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Rendering.Alignment;

/// <summary>One part of a take that can be turned up and down by itself.</summary>
/// <param name="Id">The spot; null for the array.</param>
/// <param name="Channels">How many channels it has among the parts.</param>
/// <param name="Gains">Into a field of the order asked for, output-major; empty where the spot has no place in the field.</param>
public sealed record TakePart(string? Id, int Channels, IReadOnlyList<float> Gains);

/// <summary>Any stretch of a take in its parts: the converted array and every spot, in time, before they are put together.</summary>
/// <remarks>
/// Thread: one. The same voices as <c>align</c> and <c>mix</c>, so that what is heard is what they would write. Reading on is
/// cheap; a jump begins anew, with as much of the take before the place as filters and delays remember.
/// </remarks>
public sealed class TakeParts : IDisposable
{
    // Longer than any encoder and interpolation filter.
    private const int FilterMemoryFrames = 4096;

    private readonly SessionDocument session;
    private readonly ArrayEntry array;
    private readonly AlignmentSettings settings;
    private readonly AlignmentPlan plan;
    private readonly WavInput take;
    private readonly bool[] placed;
    private AlignmentRenderer? renderer;
    private float[][] input = [];
    private long nextFrame = -1;
    private long readFrame;

    /// <param name="session">The session.</param>
    /// <param name="takePaths">The take.</param>
    /// <param name="settings">As for <c>align</c>.</param>
    /// <param name="isAligned">False leaves every spot as it was recorded: no delay, no polarity.</param>
    public TakeParts(SessionDocument session, IReadOnlyList<string> takePaths, AlignmentSettings settings, bool isAligned)
    {
        ArgumentNullException.ThrowIfNull(session);
        ArgumentNullException.ThrowIfNull(settings);
        (this.session, this.settings) = (session, settings);
        array = session.FindArray(settings.Field.ArrayId);
        var made = AlignmentPlan.Make(session, settings);
        // Held back like the array, so that both ways lie on one time.
        plan = isAligned ? made : made with
        {
            Spots = [.. made.Spots.Select(s => s with { AppliedDelaySamples = made.HeldBackFrames, Polarity = 1, Clock = null })],
        };
        take = WavInput.Open(new TakeFiles(takePaths));
        try
        {
            take.RequireSampleRate(session.SampleRate);
            VoiceBank.RequireChannels(take, array, plan.Spots);
        }
        catch
        {
            take.Dispose();
            throw;
        }
        placed = new bool[plan.Spots.Count];
        Parts =
        [
            new TakePart(null, SessionRules.CapsulesPerArray, Placement.FieldGains(FieldChannels)),
            .. plan.Spots.Select(s => new TakePart(s.Spot.Id, s.Array is null ? s.Spot.Channels.Count : SessionRules.CapsulesPerArray,
                s.CanBePlaced ? Placement.Gains(s, settings.Field.Conversion, settings.Order) : [])),
        ];
    }

    /// <summary>The array, then the spots of the session in their order.</summary>
    public IReadOnlyList<TakePart> Parts { get; }

    public int ChannelCount => Parts.Sum(p => p.Channels);

    public long FrameCount => take.FrameCount;

    public int HeldBackFrames => plan.HeldBackFrames;

    private int FieldChannels => (settings.Order + 1) * (settings.Order + 1);

    /// <summary>Fills frames of every channel of every part; beyond the take is silence.</summary>
    /// <param name="firstFrame">On the time of the take.</param>
    /// <param name="output">One array a channel.</param>
    /// <param name="frames">How many.</param>
    public void Read(long firstFrame, float[][] output, int frames)
    {
        if (renderer is null || firstFrame != nextFrame)
            Restart(firstFrame);
        Render(output, frames);
        nextFrame = firstFrame + frames;
    }

    public void Dispose() => take.Dispose();

    private void Restart(long firstFrame)
    {
        // Every spot, also one that cannot be aligned; which of them are heard is the listener's choice.
        renderer = new AlignmentRenderer(
            new VoiceBank(session, array, plan, settings.Field.Conversion, plan.Spots, take.FrameCount), plan.Spots, placed, settings.Field.Conversion, 1);
        input = [.. renderer.InputChannels.Select(_ => new float[renderer.MaxBlockFrames])];
        var memory = FilterMemoryFrames + (long)plan.Spots.Select(s => s.AppliedDelaySamples).Append(plan.HeldBackFrames).Max();
        // A clock of its own has a course from the beginning of the take; its voice cannot begin in the middle.
        if (plan.Spots.Any(s => s.Clock is not null))
            memory = firstFrame;
        readFrame = firstFrame - memory;
        var dropped = Enumerable.Range(0, renderer.OutputChannelCount).Select(_ => new float[renderer.MaxBlockFrames]).ToArray();
        for (var left = memory + renderer.LatencyFrames; left > 0;)
        {
            var frames = (int)Math.Min(left, renderer.MaxBlockFrames);
            Render(dropped, frames);
            left -= frames;
        }
    }

    private void Render(float[][] output, int frames)
    {
        for (var done = 0; done < frames;)
        {
            var block = Math.Min(frames - done, renderer!.MaxBlockFrames);
            ReadInput(block);
            // The renderer writes where it reads; so it gets a place of its own and the result moves on.
            renderer.Render(input, Scratch(block), 0, block);
            for (var c = 0; c < output.Length; c++)
                scratch[c].AsSpan(0, block).CopyTo(output[c].AsSpan(done));
            done += block;
        }
    }

    private float[][] scratch = [];

    private float[][] Scratch(int frames)
    {
        if (scratch.Length != renderer!.OutputChannelCount || scratch[0].Length < frames)
            scratch = [.. Enumerable.Range(0, renderer.OutputChannelCount).Select(_ => new float[renderer.MaxBlockFrames])];
        return scratch;
    }

    private void ReadInput(int frames)
    {
        var rows = new float[]?[take.ChannelCount];
        var (first, end) = (Math.Clamp(readFrame, 0, take.FrameCount), Math.Clamp(readFrame + frames, 0, take.FrameCount));
        var (lead, there) = ((int)(first - readFrame), (int)(end - first));
        for (var i = 0; i < input.Length; i++)
        {
            input[i].AsSpan().Clear();
            rows[renderer!.InputChannels[i]] = input[i];
        }
        if (there > 0)
        {
            take.Seek(first);
            take.Read(rows, there);
            if (lead > 0)
                foreach (var row in input)
                {
                    row.AsSpan(0, there).CopyTo(row.AsSpan(lead));
                    row.AsSpan(0, lead).Clear();
                }
        }
        readFrame += frames;
    }
}
