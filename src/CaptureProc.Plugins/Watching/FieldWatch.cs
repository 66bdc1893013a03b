using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace CaptureProc.Plugins.Watching;

/// <summary>Energy and intensity of a first-order field over one hop: how much sound there was, and where it came from.</summary>
/// <param name="Energy">Mean of (W² + X² + Y² + Z²)/2; a plane wave of mean square 1 reads 1, a diffuse field too.</param>
/// <param name="X">Mean of W·X, and so on: as long as the energy for one plane wave, 0 for a diffuse field.</param>
/// <param name="Y">Mean of W·Y.</param>
/// <param name="Z">Mean of W·Z.</param>
internal readonly record struct FieldHop(float Energy, float X, float Y, float Z);

/// <summary>Follows a first-order field in hops of 10 ms, for a window that shows where sound comes from.</summary>
/// <remarks>
/// Thread: Add [audio], Take [main]. Allocates: in the constructor only. While nobody watches, Add does nothing.
/// Only the band from about 300 Hz to 3 kHz is looked at: below it the walls of a room stand in the waves, above it the capsules of an
/// array stand too far apart to tell a direction.
/// Method: active intensity of the sound field, Fahy, Sound Intensity, 2nd edition 1995; that of SN3D channels is W·(X, Y, Z).
/// </remarks>
internal sealed class FieldWatch
{
    private const double LowHz = 300, HighHz = 3000, HopSeconds = 0.010;
    private const int Hops = 64;

    private readonly FieldHop[] ring = new FieldHop[Hops];
    private Vector128<float> last, high, low, squares, products;
    private float highKeep, lowTake;
    private int hopFrames = 480, frames;
    private long written, taken;
    private volatile bool isWatched;

    public bool IsWatched
    {
        get => isWatched;
        set => isWatched = value;
    }

    public void Prepare(double sampleRateHz)
    {
        highKeep = (float)Math.Exp(-2 * Math.PI * LowHz / sampleRateHz);
        lowTake = (float)(1 - Math.Exp(-2 * Math.PI * HighHz / sampleRateHz));
        hopFrames = Math.Max(1, (int)(HopSeconds * sampleRateHz));
        Reset();
    }

    public void Reset()
    {
        last = high = low = squares = products = default;
        frames = 0;
    }

    /// <summary>Takes the next frames: ACN 0 to 3, SN3D.</summary>
    public void Add(ReadOnlySpan<float> w, ReadOnlySpan<float> y, ReadOnlySpan<float> z, ReadOnlySpan<float> x)
    {
        if (!isWatched)
            return;
        x = x[..w.Length];
        y = y[..w.Length];
        z = z[..w.Length];
        for (var i = 0; i < w.Length; i++)
        {
            var now = Vector128.Create(w[i], x[i], y[i], z[i]);
            high = Vector128.Create(highKeep) * (high + now - last);
            last = now;
            low += Vector128.Create(lowTake) * (high - low);
            squares += low * low;
            products += low * Vector128.Create(low.ToScalar());
            if (++frames == hopFrames)
                CloseHop();
        }
        // Far below anything that is shown, and before a recursion could become slow.
        if (Vector128.Dot(high, high) < 1e-24f)
            high = low = default;
    }

    /// <summary>The next hop that has not been taken yet; older ones than the ring holds are skipped.</summary>
    public bool TryTake(out FieldHop hop)
    {
        var end = Volatile.Read(ref written);
        taken = Math.Max(taken, end - Hops / 2);
        if (taken >= end)
        {
            hop = default;
            return false;
        }
        hop = ring[taken++ % Hops];
        return true;
    }

    [MethodImpl(MethodImplOptions.NoInlining)]
    private void CloseHop()
    {
        var scale = 1f / hopFrames;
        ring[written % Hops] = new FieldHop(0.5f * Vector128.Sum(squares) * scale, products[1] * scale, products[2] * scale, products[3] * scale);
        Volatile.Write(ref written, written + 1);
        squares = products = default;
        frames = 0;
    }
}
