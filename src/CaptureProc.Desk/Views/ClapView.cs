using CaptureProc.Report.Readings;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.DeskServer.Views;

/// <summary>One clap in array and spot, as recorded and lined up: what lies on top of each other on the page Slate.</summary>
internal sealed record ClapView(
    string Spot, double Seconds, double RateHz, double DelaySamples,
    double BeforeStartMs, float[] ArrayBefore, float[] SpotBefore, double AfterStartMs, float[] ArrayAfter, float[] SpotAfter)
{
    /// <param name="session">The session.</param>
    /// <param name="paths">The slate.</param>
    /// <param name="spotId">Whose microphone.</param>
    /// <param name="seconds">When the clap is first heard.</param>
    public static ClapView Of(SessionDocument session, IReadOnlyList<string> paths, string spotId, double seconds)
    {
        var spot = session.FindSpot(spotId);
        if (spot.Delay is not { } delay)
            throw new UnusableInputException("no-delay", $"spot '{spot.Id}' has no delay yet{(spot.Note is { } note ? $": {note}" : "; measure first")}");
        using var input = WavInput.Open(new TakeFiles(paths));
        if (!(seconds >= 0 && seconds * input.SampleRateHz < input.FrameCount))
            throw new UnusableInputException("bad-order", "the clap lies outside this recording");
        var wave = new ClickWaveformReader(session, session.MainArray(), input).Read(spot, new ClickEntry { TimeSeconds = seconds, Spot = spot.Id }, delay);
        return new ClapView(spot.Id, wave.TimeSeconds, wave.SampleRateHz, delay.Samples,
            wave.BeforeStartMs, wave.ArrayBefore, wave.SpotBefore, wave.AfterStartMs, wave.ArrayAfter, wave.SpotAfter);
    }
}
