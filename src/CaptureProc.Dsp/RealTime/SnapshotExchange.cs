using System.Diagnostics.CodeAnalysis;

namespace CaptureProc.Dsp.RealTime;

/// <summary>One immutable object on its way to the audio thread or back.</summary>
public sealed class Snapshot<T>(T value)
    where T : class
{
    public T Value { get; } = value;

    /// <summary>The next one in the pile of those that have come back.</summary>
    internal Snapshot<T>? Below { get; set; }
}

/// <summary>Hands the newest of a series of immutable objects to the audio thread, without a lock, and brings the old ones back.</summary>
/// <remarks>
/// [main] calls <see cref="Publish"/> and <see cref="TryCollect"/>, from one thread or several; [audio] calls <see cref="TryTake"/> and
/// <see cref="Return"/>, which neither wait nor allocate: the wrapper is made by Publish.
/// Only the newest object counts: one that was never taken goes straight back to the pile.
/// Why a pile and not a second slot: the audio thread must never wait for the slot to be emptied, and every object must come
/// back to a thread that may dispose of it. A wrapper is pushed once in its life, so a plain compare-and-swap pile is safe here.
/// </remarks>
public sealed class SnapshotExchange<T>
    where T : class
{
    private Snapshot<T>? pending;
    private Snapshot<T>? returned;

    /// <summary>[main] Makes this the object that the audio thread takes next.</summary>
    public void Publish(T value)
    {
        ArgumentNullException.ThrowIfNull(value);
        var overtaken = Interlocked.Exchange(ref pending, new Snapshot<T>(value));
        if (overtaken != null)
            Return(overtaken);
    }

    /// <summary>[audio] Takes the newest object, if there is one that has not been taken yet.</summary>
    public bool TryTake([NotNullWhen(true)] out Snapshot<T>? snapshot)
    {
        // A plain read first: most blocks find nothing, and an exchange would pull the cache line away from the other thread.
        snapshot = Volatile.Read(ref pending) == null ? null : Interlocked.Exchange(ref pending, null);
        return snapshot != null;
    }

    /// <summary>[audio] Gives back what is no longer in use. Each snapshot once.</summary>
    public void Return(Snapshot<T> snapshot)
    {
        ArgumentNullException.ThrowIfNull(snapshot);
        Snapshot<T>? top;
        do
        {
            top = Volatile.Read(ref returned);
            snapshot.Below = top;
        }
        while (Interlocked.CompareExchange(ref returned, snapshot, top) != top);
    }

    /// <summary>[main] Takes one object off the pile of those that have come back, to be disposed of.</summary>
    public bool TryCollect([NotNullWhen(true)] out T? value)
    {
        while (Volatile.Read(ref returned) is { } top)
        {
            if (Interlocked.CompareExchange(ref returned, top.Below, top) == top)
            {
                value = top.Value;
                return true;
            }
        }

        value = null;
        return false;
    }
}
