using CaptureProc.Vst3.Abi;

namespace CaptureProc.Vst3.Effects;

/// <summary>The values that an effect shows: written by the audio thread, passed to the host now and then.</summary>
/// <remarks>
/// Thread: [audio] for Set, and [any] for what stands before the first block; [any] for reading. Allocates: never.
/// A host gets a value when it has changed and about 30 ms have gone by: more than a screen shows would only cost.
/// The controller reads the same array, so a host that does not pass the values on still finds them.
/// </remarks>
public sealed unsafe class MeterBank
{
    private const double SendEverySeconds = 0.030;

    private readonly ParameterTable table;
    private readonly double[] shown;
    private readonly double[] sent;
    private int framesBetween = 1;
    private int framesSince;

    internal MeterBank(ParameterTable table)
    {
        this.table = table;
        shown = new double[table.Count];
        for (var i = 0; i < shown.Length; i++)
            shown[i] = table[i].DefaultNormalized;
        sent = new double[table.Count];
        Array.Fill(sent, double.NaN);
    }

    /// <summary>Shows a value in the parameter's unit; out of range is shown as the end of the range.</summary>
    public void Set(int index, double plain) => Volatile.Write(ref shown[index], table[index].ToNormalized(plain));

    internal double Normalized(int index) => Volatile.Read(ref shown[index]);

    internal void Prepare(double sampleRateHz)
    {
        framesBetween = Math.Max(1, (int)(SendEverySeconds * sampleRateHz));
        framesSince = framesBetween;
    }

    internal void Send(IParameterChanges* changes, int frames)
    {
        framesSince = Math.Min(framesBetween, framesSince + frames);
        if (changes == null || framesSince < framesBetween)
            return;
        framesSince = 0;
        for (var i = 0; i < shown.Length; i++)
        {
            if (!table[i].IsReadOnly || shown[i] == sent[i])
                continue;
            var id = table[i].Id;
            int index;
            var queue = changes->Table->AddParameterData(changes, &id, &index);
            if (queue == null)
                continue;
            if (queue->Table->AddPoint(queue, 0, shown[i], &index) == Result.Ok)
                sent[i] = shown[i];
        }
    }
}
