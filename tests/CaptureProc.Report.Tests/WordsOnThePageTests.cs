using CaptureProc.Session;

namespace CaptureProc.Report.Tests;

/// <summary>What the page says of a session, without a browser and without a recording.</summary>
public class WordsOnThePageTests
{
    private static readonly string[] Labels = ["FLU", "FRD", "BLD", "BRU"];

    [Theory]
    [InlineData(0.996, "0.996")]
    [InlineData(0.9499, "0.949")]
    [InlineData(0.9999, "&gt; 0.999")]
    [InlineData(1, "&gt; 0.999")]
    public void ConfidenceIsNeverRoundedUp(double confidence, string printed)
    {
        var page = Page(Session() with
        {
            Spots = [new SpotEntry { Id = "harp", Channels = [5], Polarity = 1, Delay = new SpotDelay { Samples = 480, Ms = 10, UncertaintySamples = 0.03, Confidence = confidence, Source = "click" } }],
        });

        Assert.Contains($"data-head=\"Confidence\">{printed}<", page, StringComparison.Ordinal);
        Assert.DoesNotContain(">1.00<", page, StringComparison.Ordinal);
    }

    // Turned about the axis ahead by 180°, what looked to the front left and up looks to the front right and down (closed form).
    [Fact]
    public void HangingMicrophoneIsShownAsItHangs()
    {
        var hanging = Session();
        hanging = hanging with { Arrays = [hanging.Arrays[0] with { Mount = new MountEntry { RollDeg = 180 } }] };

        var page = Page(hanging);

        Assert.Contains("hanging head down, facing ahead", page, StringComparison.Ordinal);
        Assert.Matches("(?s)FLU</td>.{0,120}−45\\.0°</td>.{0,60}−35\\.3°", page);
        Assert.Contains("mounted upright, facing ahead", Page(Session()), StringComparison.Ordinal);
        Assert.Matches("(?s)FLU</td>.{0,120}\\+45\\.0°</td>.{0,60}\\+35\\.3°", Page(Session()));
    }

    [Fact]
    public void HallStandsThereWithItsEarlyDecayAndClarity()
    {
        var page = Page(Session() with
        {
            Room = new RoomEntry
            {
                ReverberationSeconds = 1.42, UncertaintySeconds = 0.06, EdtSeconds = 1.18, C80Db = 2.3, Claps = 8,
                Bands = [new RoomBand { FrequencyHz = 500, EdtSeconds = 1.21, T20Seconds = 1.44, T30Seconds = 1.47, C80Db = 1.9 }, new RoomBand { FrequencyHz = 1000, C80Db = -0.4 }],
            },
        });

        Assert.Contains("Reverberation time 1.42 ± 0.06\u00a0s at mid frequencies. Early decay time 1.18\u00a0s. C80 +2.3\u00a0dB", page, StringComparison.Ordinal);
        Assert.Matches("(?s)500 Hz</td>.{0,60}1\\.21\u00a0s</td>.{0,60}1\\.44\u00a0s</td>.{0,60}1\\.47\u00a0s</td>.{0,60}\\+1\\.9\u00a0dB", page);
        Assert.Matches("(?s)1 kHz</td>.{0,60}–</td>.*?−0\\.4\u00a0dB", page);
    }

    [Fact]
    public void NotesOfTheEveningStandOnThePage()
    {
        var session = Session();
        session = session with
        {
            Arrays = [session.Arrays[0] with { Microphone = "tetrahedron on the long boom" }],
            Notes = new NotesEntry { Place = "the <old> mill", People = "eight players", Preamps = "gain 30 dB", Remark = "doors shut", Takes = [new TakeNote { File = "take.wav", Name = "Nine Lanterns" }] },
        };

        var page = Page(session);

        foreach (var words in (string[])["the &lt;old&gt; mill", "eight players", "gain 30 dB", "doors shut", "tetrahedron on the long boom", "take.wav", "Nine Lanterns"])
            Assert.Contains(words, page, StringComparison.Ordinal);
        Assert.DoesNotContain("id=\"notes\"", Page(Session()), StringComparison.Ordinal);
    }

    internal static SessionDocument Session() => new()
    {
        Title = "Two lanterns", SampleRate = 48000,
        Arrays =
        [
            new ArrayEntry
            {
                Id = "main", Channels = [1, 2, 3, 4], RadiusMm = 15, Pattern = 0.5,
                Capsules = [.. Labels.Select(label => CapsuleLabel.TryParse(label, out var capsule) ? capsule : throw new InvalidOperationException(label))],
            },
        ],
    };

    private static string Page(SessionDocument session) => SessionReport.Compose(session, new ReportMaterial());
}
