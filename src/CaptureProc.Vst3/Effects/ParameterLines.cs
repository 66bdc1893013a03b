using CaptureProc.Vst3.Abi;

namespace CaptureProc.Vst3.Effects;

/// <summary>How every parameter runs through one block, to the frame.</summary>
/// <remarks>
/// Thread: [audio]. Allocates: never.
/// The host gives points; between two of them a value runs in a straight line (in normalized terms, so in dB for a gain in
/// dB), before the first one from the value that the last block ended with, after the last one it stays.
/// Where the line jumps (two points on one frame, or a single point at frame 0, as hosts send for a turned knob) a continuous
/// value glides: the jump is taken back in a straight line over 5 ms. A line without jumps is followed exactly, and right
/// after a reset nothing glides: there is no sound yet that a jump could tear.
/// The points are read from the host's queues where they stand, so no number of them is too many.
/// </remarks>
public sealed unsafe class ParameterLines
{
    private const double GlideSeconds = 0.005;

    private readonly ParameterTable table;
    private readonly ParameterValues values;
    private readonly IParamValueQueue*[] queues;
    private readonly double[] glide;
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
        glide = new double[table.Count];
        glideLeft = new int[table.Count];
        filled = new bool[table.Count];
    }

    /// <summary>True when the value may change within this block; otherwise Plain says all.</summary>
    public bool IsMoving(int index) => queues[index] != null || glideLeft[index] > 0;

    /// <summary>The value at the end of this block, in the parameter's unit; what a stepped parameter goes by.</summary>
    public double Plain(int index) => table[index].ToPlain(LineAt(index, pieceStart + pieceFrames));

    /// <summary>The value at every frame of this block, in the parameter's unit. Once a block, with FrameCount values.</summary>
    public void Fill(int index, Span<float> plain)
    {
        var parameter = table[index];
        filled[index] = true;
        var end = pieceStart + pieceFrames;
        var (at, value, written, laid) = (0, values.Live[index], pieceStart, 0);
        var queue = queues[index];
        var count = queue == null ? 0 : queue->Table->GetPointCount(queue);
        for (var i = 0; i < count && written < end; i++)
        {
            if (!TryGetPoint(queue, i, at, out var frame, out var target))
                continue;
            if (frame == at)
            {
                // A jump, if the values differ. One before this piece has been dealt with by an earlier piece.
                if (frame >= pieceStart && value != target && parameter.StepCount == 0 && (sounding || frame > 0))
                {
                    LayGlide(index, plain, laid, frame - pieceStart);
                    laid = frame - pieceStart;
                    AddJump(index, value - target);
                }
            }
            else
            {
                var slope = (target - value) / (frame - at);
                for (; written < Math.Min(frame, end); written++)
                    plain[written - pieceStart] = (float)parameter.ToPlain(value + slope * (written - at));
            }
            (at, value) = (frame, target);
        }
        plain[(written - pieceStart)..pieceFrames].Fill((float)parameter.ToPlain(value));
        LayGlide(index, plain, laid, pieceFrames);
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
            if (index >= 0 && !table[index].IsReadOnly)
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
                AddJump(i, live[i] - waiting[i]);
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
                return value + (target - value) * (frame - at) / (pointFrame - at);
            (at, value) = (pointFrame, target);
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

    /// <summary>Lays what is left of a jump over the frames from…to of this piece.</summary>
    private void LayGlide(int index, Span<float> plain, int from, int to)
    {
        var parameter = table[index];
        var perFrame = (parameter.Maximum - parameter.Minimum) * glide[index] / glideFrames;
        for (var i = from; i < to && glideLeft[index] > 0; i++)
            plain[i] += (float)(perFrame * glideLeft[index]--);
    }

    private void AddJump(int index, double jump)
    {
        glide[index] = glide[index] * glideLeft[index] / glideFrames + jump;
        glideLeft[index] = glideFrames;
    }
}
