using System.Runtime.InteropServices;
using CaptureProc.Dsp.Binaural;
using CaptureProc.Dsp.Design;
using CaptureProc.Dsp.Loudness;
using CaptureProc.Rendering.Alignment;
using CaptureProc.Rendering.Conversion;
using CaptureProc.Session;

namespace CaptureProc.DeskServer.Views;

/// <summary>How a take is to be heard: one side of the comparison on the page Take.</summary>
internal sealed record PartsOrder(IReadOnlyList<string> Paths, string? Trim, Correction Correction, int Order, double LaterMs, bool IsAligned)
{
    public string Key(string sessionPath) => FormattableString.Invariant(
        $"{string.Join('\n', Paths)}|{Trim}|{Correction}|{Order}|{LaterMs}|{IsAligned}|{sessionPath}|{File.GetLastWriteTimeUtc(sessionPath).Ticks}");

    public TakeParts Open(SessionDocument session) => new(session, Paths, new AlignmentSettings
    {
        Field = new FieldSettings { Conversion = new FieldConversion { Trim = Trim, Correction = Correction } },
        Order = Order,
        LaterMs = LaterMs,
    }, IsAligned);
}

/// <summary>What there is to mix, and what it is heard through.</summary>
internal sealed record PartsView(double RateHz, long Frames, int HeldBackFrames, int Order, IReadOnlyList<TakePart> Parts, IReadOnlyList<double> Weighting)
{
    public static PartsView Of(SessionDocument session, PartsOrder order, TakeParts parts)
    {
        var (shelf, high) = (KWeighting.Shelf(session.SampleRate), KWeighting.HighPass(session.SampleRate));
        return new PartsView(session.SampleRate, parts.FrameCount, parts.HeldBackFrames, order.Order, parts.Parts,
            [shelf.B0, shelf.B1, shelf.B2, shelf.A1, shelf.A2, high.B0, high.B1, high.B2, high.A1, high.A2]);
    }

    /// <summary>The filters from field to ears: for every ear and channel its taps, float32.</summary>
    public static byte[] Head(int order, int rateHz)
    {
        var filter = DefaultHead.Decoder.Filter(order, rateHz);
        var taps = new float[filter.Outputs * filter.Inputs * filter.TapCount];
        for (var ear = 0; ear < filter.Outputs; ear++)
            for (var channel = 0; channel < filter.Inputs; channel++)
                filter.Taps(ear, channel).CopyTo(taps.AsSpan((ear * filter.Inputs + channel) * filter.TapCount));
        return MemoryMarshal.AsBytes(taps.AsSpan()).ToArray();
    }
}

/// <summary>Takes that are being listened to, kept open between one stretch and the next.</summary>
/// <remarks>Thread: [any]; readers of one take wait for each other.</remarks>
internal sealed class PartsShelf : IDisposable
{
    private const int Kept = 4;

    private readonly Lock gate = new();
    private readonly List<(string Key, Lazy<TakeParts> Parts)> shelf = [];

    public T Use<T>(string sessionPath, PartsOrder order, Func<SessionDocument, TakeParts, T> use)
    {
        var session = SessionStore.Read(sessionPath);
        var parts = Find(order.Key(sessionPath), () => order.Open(session)).Value;
        lock (parts)
            return use(session, parts);
    }

    public void Dispose()
    {
        lock (gate)
        {
            foreach (var (_, parts) in shelf)
                Close(parts);
            shelf.Clear();
        }
    }

    private Lazy<TakeParts> Find(string key, Func<TakeParts> open)
    {
        lock (gate)
        {
            var index = shelf.FindIndex(s => s.Key == key);
            var found = index < 0 ? (key, Parts: new Lazy<TakeParts>(open, LazyThreadSafetyMode.PublicationOnly)) : shelf[index];
            if (index >= 0)
                shelf.RemoveAt(index);
            shelf.Add(found);
            if (shelf.Count > Kept)
            {
                Close(shelf[0].Parts);
                shelf.RemoveAt(0);
            }
            return found.Parts;
        }
    }

    private static void Close(Lazy<TakeParts> parts)
    {
        if (!parts.IsValueCreated)
            return;
        lock (parts.Value)
            parts.Value.Dispose();
    }
}
