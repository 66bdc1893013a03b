using CaptureProc.Report.Readings;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Report.Tests;

public sealed class ClickWaveformReaderTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("captureproc-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public void AlignedSpotLiesOnTheArrayAndTheRecordedOneAheadByItsDelay()
    {
        var evening = EveningSession.Make();
        var waveforms = evening.Material(evening.WriteSlate(folder)).Waveforms;

        Assert.Equal(EveningSession.Players.Select(p => p.Id), waveforms.Select(w => w.SpotId));
        foreach (var w in waveforms)
        {
            var delay = evening.Document.FindSpot(w.SpotId).Delay!.Samples;
            // Over one another to half a sample, by eighths: that much the unlike responses of spot and W still turn a correlation of this little.
            var apart = BestLag(w.Near.Array, w.Near.Spot, 40);
            Assert.Equal(0, apart.Lag * w.Near.StepSamples, 0.5);
            Assert.Equal(delay, BestLag(w.ArrayBefore, w.SpotBefore, (int)delay + 40).Lag, 1.0);
            // Polarity has been applied: the aligned spot agrees in sign, the inverted one as recorded does not.
            Assert.True(apart.Correlation > 0);
            Assert.Equal(evening.Document.FindSpot(w.SpotId).Polarity, Math.Sign(BestLag(w.ArrayBefore, w.SpotBefore, (int)delay + 40).Correlation));
        }
    }

    // Whether a session gives the time at the array or at the spot that hears it first, the picture is the same.
    [Fact]
    public void ArrivalIsFoundWhereverTheClickIsTimed()
    {
        var evening = EveningSession.Make();
        var slate = evening.WriteSlate(folder);
        var atSpots = evening.Document with
        {
            Clicks = [.. evening.Document.Clicks.Select(c => c with { TimeSeconds = c.TimeSeconds - evening.Document.FindSpot(c.Spot!).Delay!.Ms / 1000 })],
        };
        using var input = WavInput.Open(slate);
        var (byArray, bySpot) = (new ClickWaveformReader(evening.Document, evening.Document.MainArray(), input).ReadAll(), new ClickWaveformReader(atSpots, atSpots.MainArray(), input).ReadAll());
        for (var i = 0; i < byArray.Count; i++)
        {
            Assert.Equal(byArray[i].TimeSeconds, bySpot[i].TimeSeconds);
            Assert.Equal(byArray[i].SpotAfter, bySpot[i].SpotAfter);
            // The burst begins when the scene says, and reaches a tenth of its peak within two milliseconds.
            Assert.InRange(byArray[i].TimeSeconds - evening.Recording.Truth.Clicks[i].ArrivalSeconds, 0, 0.002);
        }
    }

    [Fact]
    public void RecordingIsFoundByTheHistoryAndMissedWhenItHasChanged()
    {
        var evening = EveningSession.Make();
        var (slate, session) = (evening.WriteSlate(folder), Path.Combine(folder, "s.json"));
        SessionDocument With(string sha256) => evening.Document with
        {
            History = [new HistoryEntry { Command = "measure", Inputs = [new HistoryInput { File = "slate.wav", Sha256 = sha256 }] }],
        };

        var hash = Convert.ToHexStringLower(System.Security.Cryptography.SHA256.HashData(File.ReadAllBytes(slate)));
        Assert.Equal([slate], SlateRecording.Find(With(hash), evening.Document.MainArray(), session, out var none));
        Assert.Null(none);
        Assert.Empty(SlateRecording.Find(With(new string('0', 64)), evening.Document.MainArray(), session, out var changed));
        Assert.Contains("no longer the one", changed, StringComparison.Ordinal);
        File.Delete(slate);
        Assert.Empty(SlateRecording.Find(With(hash), evening.Document.MainArray(), session, out var missing));
        Assert.Contains("not beside the session", missing, StringComparison.Ordinal);
        Assert.Empty(SlateRecording.Find(evening.Document with { History = [] }, evening.Document.MainArray(), session, out var unnamed));
        Assert.Contains("names no slate", unnamed, StringComparison.Ordinal);
    }

    // Where the magnitude of the cross-correlation is largest: plain sums, no shortcut.
    private static (double Lag, double Correlation) BestLag(float[] array, float[] spot, int maxLag)
    {
        var best = (Lag: 0.0, Correlation: 0.0);
        for (var lag = -40; lag <= maxLag; lag++)
        {
            var sum = 0.0;
            for (var i = Math.Max(0, lag); i < Math.Min(array.Length, spot.Length + lag); i++)
                sum += array[i] * spot[i - lag];
            if (Math.Abs(sum) > Math.Abs(best.Correlation))
                best = (lag, sum);
        }
        return best;
    }
}
