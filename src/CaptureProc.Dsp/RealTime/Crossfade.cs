using System.Numerics;

namespace CaptureProc.Dsp.RealTime;

/// <summary>A linear crossfade that runs on from block to block, counted in frames.</summary>
/// <remarks>
/// Thread: [audio]. Allocates: never. Linear, because the two signals are versions of one sound and add up in amplitude.
/// The weight is computed from the frame's number, not summed up, and every frame with the same roundings, so a fade does not
/// depend, to the last bit, on how it is cut into blocks.
/// </remarks>
internal struct Crossfade
{
    private readonly int lengthFrames;
    private readonly float step;
    private int doneFrames;

    public Crossfade(int lengthFrames) => (this.lengthFrames, doneFrames, step) = (lengthFrames, lengthFrames, 1f / lengthFrames);

    public readonly bool IsRunning => doneFrames < lengthFrames;

    public readonly int RemainingFrames => lengthFrames - doneFrames;

    public void Start() => doneFrames = 0;

    public void Finish() => doneFrames = lengthFrames;

    public void Advance(int frames) => doneFrames = Math.Min(lengthFrames, doneFrames + frames);

    /// <summary>Mixes the next frames of a channel without advancing: mixed = from + weight·(to − from). Spans may coincide.</summary>
    public readonly void Mix(ReadOnlySpan<float> from, ReadOnlySpan<float> to, Span<float> mixed)
    {
        var lanes = Vector<float>.Count;
        var frame = 0;
        for (; frame <= mixed.Length - lanes; frame += lanes)
        {
            var number = Vector.ConvertToSingle(Vector.CreateSequence(doneFrames + frame, 1));
            var weight = Vector.Min(number * step, Vector<float>.One);
            var (a, b) = (new Vector<float>(from[frame..]), new Vector<float>(to[frame..]));
            Vector.FusedMultiplyAdd(weight, b - a, a).CopyTo(mixed[frame..]);
        }

        for (; frame < mixed.Length; frame++)
        {
            var weight = Math.Min((doneFrames + frame) * step, 1);
            mixed[frame] = float.FusedMultiplyAdd(weight, to[frame] - from[frame], from[frame]);
        }
    }
}
