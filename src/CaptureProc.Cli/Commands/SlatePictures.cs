using CaptureProc.Report.Readings;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Commands;

/// <summary>The small pictures of the claps that go into the session, for whoever sees it without the recording: the plug-ins' windows.</summary>
internal static class SlatePictures
{
    // Of the lined-up stretch: the first waves, where the eye can tell a fraction of a sample.
    private const double NearFromMs = -0.5, NearToMs = 3;

    /// <summary>A picture of the best clap of every spot that has one, each with the delay that was measured.</summary>
    /// <param name="measured">The session as it will be written.</param>
    /// <param name="array">The array that heard the slate.</param>
    /// <param name="recording">The slate.</param>
    public static IReadOnlyDictionary<string, SlateTraces> Of(SessionDocument measured, ArrayEntry array, WavInput recording)
    {
        var heard = measured.HeardBy(array);
        return new ClickWaveformReader(measured, array, recording).ReadAll()
            .ToDictionary(click => click.SpotId, click => Of(click, heard.FindSpot(click.SpotId).Delay!));
    }

    /// <summary>The session with these pictures. A spot that has another delay by now loses its former one; one that kept its delay keeps it.</summary>
    /// <param name="session">With what was measured.</param>
    /// <param name="array">The array that heard the slate.</param>
    /// <param name="measured">Spots that have got a delay.</param>
    /// <param name="pictures">By spot.</param>
    public static SessionDocument Enter(SessionDocument session, ArrayEntry array, IReadOnlySet<string> measured, IReadOnlyDictionary<string, SlateTraces> pictures)
    {
        foreach (var spot in session.HeardBy(array).Spots.Where(s => measured.Contains(s.Id)))
            session = session.WithHeardBy(array, spot with { Slate = pictures.GetValueOrDefault(spot.Id) });
        return session;
    }

    private static SlateTraces Of(ClickWaveform click, SpotDelay delay)
    {
        var perMs = click.SampleRateHz / 1000;
        var from = Math.Clamp((int)((NearFromMs - click.AfterStartMs) * perMs), 0, click.ArrayAfter.Length);
        var count = Math.Clamp((int)((NearToMs - NearFromMs) * perMs), 0, click.ArrayAfter.Length - from);
        return new SlateTraces
        {
            DelaySamples = delay.Samples,
            TimeSeconds = click.TimeSeconds,
            Recorded = Pair(click.BeforeStartMs, perMs, click.ArrayBefore, click.SpotBefore),
            LinedUp = Pair(click.AfterStartMs + from / perMs, perMs, click.ArrayAfter.AsSpan(from, count), click.SpotAfter.AsSpan(from, count)),
        };
    }

    private static TracePair Pair(double fromMs, double perMs, ReadOnlySpan<float> array, ReadOnlySpan<float> spot) => new()
    {
        FromMs = Math.Round(fromMs, 3), ToMs = Math.Round(fromMs + array.Length / perMs, 3), Array = SlateTrace.ToText(array), Spot = SlateTrace.ToText(spot),
    };
}
