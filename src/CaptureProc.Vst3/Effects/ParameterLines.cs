using CaptureProc.Vst3.Abi;

namespace CaptureProc.Vst3.Effects;

/// <summary>How every parameter runs through one block, to the frame.</summary>
/// <remarks>
/// Thread: [audio]. Allocates: never.
/// The host gives points; between two of them a continuous value runs in a straight line (in normalized terms, so in dB for a
/// gain in dB), before the first one from the value that the last block ended with, after the last one it stays. A stepped value
/// has no line: it stays until the frame of a point and is the point's from there on.
/// Where the line jumps (two points on one frame, or a single point at frame 0, as hosts send for a turned knob) a continuous
/// value glides: over 5 ms it fades from where it was to wherever the line is by then. A mixture of two values of the range,
/// so it never leaves the range, however the line goes on. A line without jumps is followed exactly, and right
/// after a reset nothing glides: there is no sound yet that a jump could tear.
/// The points are read from the host's queues where they stand, so no number of them is too many.
/// </remarks>
public sealed unsafe class ParameterLines
{
    private const double GlideSeconds = 0.005;

    private readonly ParameterTable table;
    private readonly ParameterValues values;
    private readonly IParamValueQueue*[] queues;
    private readonly double[] glideFrom;
    private readonly int[] glideLeft;
    private readonly bool[] filled;
    private int glideFrames = 1;
    private int blockFrames;
    private int pieceStart;
    private int pieceFrames;
    private bool sounding;

    internal ParameterLines(ParameterTable table, ParameterValues values)
    {
        (this.table, this.values) = (table, values);
        queues = new IParamValueQueue*[table.Count];
        glideFrom = new double[table.Count];
        glideLeft = new int[table.Count];
        filled = new bool[table.Count];
    }

    /// <summary>True when the value may change within this block; otherwise Plain says all.</summary>
    public bool IsMoving(int index) => queues[index] != null || glideLeft[index] > 0;

    /// <summary>The value at the end of this block, in the parameter's unit, without a glide.</summary>
    public double Plain(int index) => PlainAt(index, pieceFrames);

    /// <summary>The value at a frame of this block, in the parameter's unit, without a glide.</summary>
    public double PlainAt(int index, int frame) => table[index].ToPlain(LineAt(index, pieceStart + frame));

    /// <summary>The value at every frame of this block, in the parameter's unit. Once a block, with FrameCount values.</summary>
    public void Fill(int index, Span<float> plain)
    {
        filled[index] = true;
        var stepped = table[index].StepCount > 0;
        var end = pieceStart + pieceFrames;
        var (at, value, written) = (0, values.Live[index], pieceStart);
        var queue = queues[index];
        var count = queue == null ? 0 : queue->Table->GetPointCount(queue);
        for (var i = 0; i < count && written < end; i++)
        {
            if (!TryGetPoint(queue, i, at, out var frame, out var target))
                continue;
            if (frame == at)
            {
                // A jump, if the values differ. One before this piece has been dealt with by an earlier piece.
                if (frame >= pieceStart && value != target && !stepped && (sounding || frame > 0))
                    StartGlide(index, value);
            }
            else
            {
                var until = Math.Clamp(frame, written, end);
                var line = new Line(value, stepped ? 0 : (target - value) / (frame - at), written - at);
                Follow(index, line, plain[(written - pieceStart)..(until - pieceStart)]);
                written = until;
            }
            (at, value) = (frame, target);
        }
        Follow(index, new Line(value, 0, 0), plain[(written - pieceStart)..pieceFrames]);
    }

    internal void Prepare(double sampleRateHz) => glideFrames = Math.Max(1, (int)(GlideSeconds * sampleRateHz));

    internal void Restart()
    {
        sounding = false;
        Array.Clear(glideLeft);
        TakeWaiting();
    }

    /// <summary>Takes the host's queues for a block of so many frames.</summary>
    internal void Begin(IParameterChanges* changes, int frames)
    {
        blockFrames = frames;
        TakeWaiting();
        var count = changes == null ? 0 : changes->Table->GetParameterCount(changes);
        for (var i = 0; i < count; i++)
        {
            var queue = changes->Table->GetParameterData(changes, i);
            if (queue == null)
                continue;
            var index = table.IndexOf(queue->Table->GetParameterId(queue));
            if (index >= 0 && !table[index].IsReadOnly && !table[index].IsAct)
                queues[index] = queue;
        }
        BeginPiece(0, frames);
    }

    internal void BeginPiece(int start, int frames) => (pieceStart, pieceFrames) = (start, frames);

    internal void EndPiece()
    {
        sounding = true;
        for (var i = 0; i < filled.Length; i++)
        {
            if (!filled[i])
                glideLeft[i] = 0;
            filled[i] = false;
        }
    }

    internal void End()
    {
        for (var i = 0; i < queues.Length; i++)
        {
            if (queues[i] == null)
                continue;
            var last = LineAt(i, int.MaxValue);
            var arriving = Arriving(i);
            if (sounding && arriving != last && table[i].StepCount == 0)
                StartGlide(i, arriving);
            Volatile.Write(ref values.Live[i], last);
            // The controller is the same object: it has the value too, also where a host tells only the processor.
            values.SetEdited(i, last);
            queues[i] = null;
        }
    }

    private void TakeWaiting()
    {
        var waiting = values.Waiting;
        if (waiting == null)
            return;
        var live = values.Live;
        for (var i = 0; i < live.Length; i++)
        {
            if (sounding && waiting[i] != live[i] && table[i].StepCount == 0)
                StartGlide(i, live[i]);
            Volatile.Write(ref live[i], waiting[i]);
        }
        values.Taken(waiting);
    }

    private double LineAt(int index, int frame)
    {
        var (at, value) = (0, values.Live[index]);
        var queue = queues[index];
        var count = queue == null ? 0 : queue->Table->GetPointCount(queue);
        for (var i = 0; i < count; i++)
        {
            if (!TryGetPoint(queue, i, at, out var pointFrame, out var target))
                continue;
            if (pointFrame > frame)
                return table[index].StepCount > 0 ? value : value + (target - value) * (frame - at) / (pointFrame - at);
            (at, value) = (pointFrame, target);
        }
        return value;
    }

    /// <summary>The value with which a line reaches the block's end, before whatever it jumps to there.</summary>
    private double Arriving(int index)
    {
        var (at, value) = (0, values.Live[index]);
        var queue = queues[index];
        var count = queue->Table->GetPointCount(queue);
        for (var i = 0; i < count; i++)
        {
            if (!TryGetPoint(queue, i, at, out var frame, out var target))
                continue;
            if (frame >= blockFrames)
                return frame == at ? value : target;
            (at, value) = (frame, target);
        }
        return value;
    }

    private bool TryGetPoint(IParamValueQueue* queue, int i, int notBefore, out int frame, out double value)
    {
        int offset;
        double given;
        var ok = queue->Table->GetPoint(queue, i, &offset, &given) == Result.Ok && double.IsFinite(given);
        frame = ok ? Math.Clamp(offset, notBefore, Math.Max(notBefore, blockFrames)) : notBefore;
        value = ok ? Math.Clamp(given, 0, 1) : 0;
        return ok;
    }

    /// <summary>Writes a line, and over it what is left of a glide.</summary>
    private void Follow(int index, Line line, Span<float> plain)
    {
        var parameter = table[index];
        var i = 0;
        for (; i < plain.Length && glideLeft[index] > 0; i++)
        {
            var value = line.At(i);
            plain[i] = (float)parameter.ToPlain(value + (glideFrom[index] - value) * glideLeft[index]-- / glideFrames);
        }
        if (line.Slope == 0)
            plain[i..].Fill((float)parameter.ToPlain(line.Value));
        for (; line.Slope != 0 && i < plain.Length; i++)
            plain[i] = (float)parameter.ToPlain(line.At(i));
    }

    /// <summary>From the value that the line has had till now, or from where a glide to it has come by now.</summary>
    private void StartGlide(int index, double line)
    {
        glideFrom[index] = line + (glideFrom[index] - line) * glideLeft[index] / glideFrames;
        glideLeft[index] = glideFrames;
    }

    /// <summary>Normalized, so many frames after its first point.</summary>
    private readonly record struct Line(double Value, double Slope, int FramesIn)
    {
        public double At(int frame) => Value + Slope * (FramesIn + frame);
    }
}
