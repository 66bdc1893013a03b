namespace CaptureProc.Vst3.Effects;

/// <summary>The normalized values of one instance, on both sides: as the user has set them, and as the audio thread has them.</summary>
/// <remarks>
/// The two sides differ on purpose. While automation plays, hosts tell the controller the value of now and then, and the
/// audio thread gets it to the frame; an edit that reached the audio by the first way would jump about on the line.
/// A whole set (from a saved state) goes over as one array: it is published by a single write, copied by the audio thread at
/// the next block, and only then marked as taken, so that a reader in between sees the new set and never half of it.
/// </remarks>
internal sealed class ParameterValues
{
    private readonly double[] edited;
    private readonly double[] live;
    private double[]? waiting;

    public ParameterValues(ParameterTable table)
    {
        edited = new double[table.Count];
        for (var i = 0; i < edited.Length; i++)
            edited[i] = table[i].DefaultNormalized;
        live = (double[])edited.Clone();
    }

    /// <summary>As the controller shows it. [any]</summary>
    public double Edited(int index) => Volatile.Read(ref edited[index]);

    public void SetEdited(int index, double normalized) => Volatile.Write(ref edited[index], normalized);

    /// <summary>The audio thread's own values; only that thread writes. [audio]</summary>
    public Span<double> Live => live;

    /// <summary>What a saved state holds: the set that waits, or else what the audio thread has. [main]</summary>
    public double[] Snapshot()
    {
        var source = Volatile.Read(ref waiting) ?? live;
        var copy = new double[source.Length];
        for (var i = 0; i < copy.Length; i++)
            copy[i] = Volatile.Read(ref source[i]);
        return copy;
    }

    /// <summary>Hands a whole set to both sides. [main]</summary>
    public void Replace(double[] normalized)
    {
        for (var i = 0; i < edited.Length; i++)
            SetEdited(i, normalized[i]);
        Volatile.Write(ref waiting, (double[])normalized.Clone());
    }

    /// <summary>One value to the audio side while nothing is processing. [main]</summary>
    public void ReplaceLive(int index, double normalized)
    {
        var next = Snapshot();
        next[index] = normalized;
        Volatile.Write(ref waiting, next);
    }

    /// <summary>The set that waits, or null. [audio]</summary>
    public double[]? Waiting => Volatile.Read(ref waiting);

    /// <summary>Marks that set as taken, unless another one has come meanwhile. [audio]</summary>
    public void Taken(double[] set) => Interlocked.CompareExchange(ref waiting, null, set);
}
