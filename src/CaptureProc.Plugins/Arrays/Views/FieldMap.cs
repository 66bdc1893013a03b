using CaptureProc.Plugins.Watching;

namespace CaptureProc.Plugins.Arrays.Views;

/// <summary>Where sound has come from lately, as energy on two round maps: from above, and from the left side.</summary>
/// <remarks>
/// Thread: [main]. Allocates: when made.
/// A map is a disc of square cells. A cell stands for the two directions of the unit sphere that project onto it. Each hop of 10 ms
/// spreads the directed part of its energy round the direction of its intensity, and the rest evenly; all of it fades
/// within a second. What one first-order hop cannot tell apart, many hops do: players sound one by one.
/// </remarks>
internal sealed class FieldMap
{
    public const int Size = 19;

    private const double FadeSeconds = 0.5, RangeDb = 18;

    // The mean of the lobe over the sphere: what is spread evenly weighs as much as what is not.
    private const float LobeMean = 1 / 33f;

    // −66 dBFS: what is shown below it would be the noise of the microphones.
    private const float QuietEnergy = 2.5e-7f;

    private readonly float[] above = new float[Size * Size], side = new float[Size * Size];
    private float strongest;
    private long last;

    public FieldMap()
    {
        Array.Fill(above, float.NaN);
        for (var i = 0; i < above.Length; i++)
            above[i] = IsInside(i % Size, i / Size) ? 0 : float.NaN;
        above.CopyTo(side, 0);
    }

    /// <summary>Whether a cell lies on the disc.</summary>
    public static bool IsInside(int column, int row)
    {
        var (x, y) = (CentreOf(column), CentreOf(row));
        return x * x + y * y <= 1;
    }

    /// <summary>Takes what has been heard since the last time; false where nothing shows differently.</summary>
    public bool Move(FieldWatch watch, long milliseconds)
    {
        var seconds = last == 0 ? 0 : Math.Clamp((milliseconds - last) / 1000.0, 0, 1);
        last = milliseconds;
        var keep = (float)Math.Exp(-seconds / FadeSeconds);
        var wasQuiet = strongest == 0;
        for (var i = 0; i < above.Length; i++)
            (above[i], side[i]) = (above[i] * keep, side[i] * keep);
        while (watch.TryTake(out var hop))
            Spread(hop);
        strongest = 0;
        for (var i = 0; i < above.Length; i++)
            strongest = MathF.Max(strongest, MathF.Max(float.IsNaN(above[i]) ? 0 : above[i], float.IsNaN(side[i]) ? 0 : side[i]));
        if (strongest < QuietEnergy)
            strongest = 0;
        return strongest > 0 || !wasQuiet;
    }

    /// <summary>How strong a cell is, 0…1 over the range of the map, seen from above: row 0 is in front, column 0 on the left.</summary>
    public float FromAbove(int column, int row) => Shade(above[row * Size + column]);

    /// <summary>The same seen from the left: row 0 is up, column 0 in front.</summary>
    public float FromSide(int column, int row) => Shade(side[row * Size + column]);

    private void Spread(FieldHop hop)
    {
        var length = MathF.Sqrt(hop.X * hop.X + hop.Y * hop.Y + hop.Z * hop.Z);
        if (!(hop.Energy > QuietEnergy / 10) || !float.IsFinite(length))
            return;
        var directed = MathF.Min(length, hop.Energy);
        var (x, y, z) = length > 0 ? (hop.X / length, hop.Y / length, hop.Z / length) : (0, 0, 0);
        // A tenth of a second's worth: hops add up to what one second of the same sound shows.
        const float share = 0.02f;
        var even = 2 * LobeMean * (hop.Energy - directed);
        for (var row = 0; row < Size; row++)
            for (var column = 0; column < Size; column++)
            {
                var i = row * Size + column;
                if (float.IsNaN(above[i]))
                    continue;
                var (across, up) = (CentreOf(column), -CentreOf(row));
                var depth = MathF.Sqrt(MathF.Max(0, 1 - across * across - up * up));
                // From above: up on the map is the front, left is the left.
                var flat = up * x - across * y;
                above[i] += share * (directed * (Lobe(flat + depth * z) + Lobe(flat - depth * z)) + even);
                // From the left side: left on the map is the front, up is up.
                flat = -across * x + up * z;
                side[i] += share * (directed * (Lobe(flat + depth * y) + Lobe(flat - depth * y)) + even);
            }
    }

    // ((1 + cos)/2) to the 32nd: half its height 17° off, about as sharp as single hops are sure.
    private static float Lobe(float cosine)
    {
        var a = MathF.Max(0, 0.5f + 0.5f * cosine);
        a *= a;
        a *= a;
        a *= a;
        a *= a;
        return a * a;
    }

    private float Shade(float energy) =>
        strongest > 0 && energy > 0 ? Math.Clamp(1 + (float)(10 * Math.Log10(energy / strongest) / RangeDb), 0, 1) : 0;

    private static float CentreOf(int cell) => (cell + 0.5f - Size / 2f) / (Size / 2f);
}
