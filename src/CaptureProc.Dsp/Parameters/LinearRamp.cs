using System.Numerics;

namespace CaptureProc.Dsp.Parameters;

/// <summary>A parameter's value that moves on a straight line from point to point of an automation, exact to the sample.</summary>
/// <remarks>
/// Thread: [audio]. Allocates: never. Unit: that of the parameter (gains are factors, not dB).
/// The value at a frame is computed from the frame's number within the ramp, not summed up, so it does not depend on how the
/// ramp is cut into blocks, and it arrives exactly.
/// </remarks>
public struct LinearRamp(float value)
{
    private float from = value;
    private float to = value;
    private int lengthFrames;
    private int doneFrames;

    /// <summary>The value of the next frame.</summary>
    public readonly float Value => ValueAt(doneFrames);

    public readonly float Target => to;

    public readonly bool IsMoving => doneFrames < lengthFrames;

    /// <summary>Goes from here to a value, which the frame that comes <paramref name="frames"/> frames later has. 0 jumps.</summary>
    public void MoveTo(float target, int frames)
    {
        (from, to) = (frames <= 0 ? target : Value, target);
        (lengthFrames, doneFrames) = (Math.Max(0, frames), 0);
    }

    /// <summary>Skips frames.</summary>
    public void Advance(int frames)
    {
        doneFrames = frames < lengthFrames - doneFrames ? doneFrames + frames : lengthFrames;
        if (!IsMoving)
            (from, lengthFrames, doneFrames) = (to, 0, 0);
    }

    /// <summary>Writes the values of the next frames, without advancing.</summary>
    public readonly void Fill(Span<float> values)
    {
        var moving = IsMoving ? Math.Min(values.Length, lengthFrames - doneFrames) : 0;
        for (var frame = 0; frame < moving; frame++)
            values[frame] = ValueAt(doneFrames + frame);
        values[moving..].Fill(to);
    }

    /// <summary>Multiplies the next frames of a channel by the value, without advancing: every channel of a bundle gets the same ramp.</summary>
    public readonly void Apply(ReadOnlySpan<float> input, Span<float> output)
    {
        var moving = IsMoving ? Math.Min(input.Length, lengthFrames - doneFrames) : 0;
        var frame = 0;
        var slope = new Vector<float>((to - from) / Math.Max(1, lengthFrames));
        for (; frame <= moving - Vector<float>.Count; frame += Vector<float>.Count)
        {
            var number = Vector.ConvertToSingle(Vector.CreateSequence(doneFrames + frame, 1));
            var gain = Vector.MultiplyAddEstimate(number, slope, new Vector<float>(from));
            (gain * new Vector<float>(input[frame..])).CopyTo(output[frame..]);
        }

        for (; frame < moving; frame++)
            output[frame] = ValueAt(doneFrames + frame) * input[frame];
        Gain.Apply(to, input[moving..], output[moving..]);
    }

    private readonly float ValueAt(int frame) =>
        frame >= lengthFrames ? to : float.MultiplyAddEstimate(frame, (to - from) / lengthFrames, from);
}
