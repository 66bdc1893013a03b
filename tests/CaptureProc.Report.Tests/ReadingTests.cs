using System.Net;
using System.Text.RegularExpressions;
using CaptureProc.Session;

namespace CaptureProc.Report.Tests;

/// <summary>What the page says about a session.</summary>
public class ReadingTests
{
    private static readonly string[] Labels = ["FLU", "FRD", "BLD", "BRU"];

    private static readonly SessionDocument Sound = Fresh() with
    {
        Spots = [Spot("flute", 0.99, 0.02)],
        Clicks = [new ClickEntry { Spot = "flute", TimeSeconds = 1, SnrDb = 40, DirectToReverberantDb = 6 }],
    };

    [Fact]
    public void NothingIsUncertainWhereEverythingIsSound()
    {
        var uncertain = Section(Sound, "uncertain");
        Assert.Contains("Nothing measured here is in doubt", uncertain, StringComparison.Ordinal);
        Assert.Contains("can be used as it stands", Section(Sound, "glance"), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("delay has not been measured")]
    [InlineData("confidence of 0.80 only")]
    [InlineData("leaves the top octave open")]
    [InlineData("cannot wait for it")]
    [InlineData("polarity is not known")]
    [InlineData("wired or patched inverted")]
    [InlineData("±9° only")]
    public void EveryDoubtAboutASpotIsSpoken(string said)
    {
        var flute = Spot("flute", 0.99, 0.02);
        var doubtful = said switch
        {
            "delay has not been measured" => flute with { Delay = null },
            "confidence of 0.80 only" => Spot("flute", 0.8, 0.02),
            "leaves the top octave open" => Spot("flute", 0.99, 0.5),
            "cannot wait for it" => flute with { Delay = flute.Delay! with { Samples = -48, Ms = -1 } },
            "polarity is not known" => flute with { Polarity = null },
            "wired or patched inverted" => flute with { Polarity = -1 },
            _ => flute with { Direction = flute.Direction! with { UncertaintyDeg = 9 } },
        };
        var uncertain = Section(Sound with { Spots = [doubtful] }, "uncertain");
        Assert.Contains(said, uncertain, StringComparison.Ordinal);
        Assert.DoesNotContain(said, Section(Sound, "uncertain"), StringComparison.Ordinal);
    }

    [Fact]
    public void DoubtsAboutSlateAndArrayAreSpoken()
    {
        var uncertain = Section(Sound with
        {
            Clicks = [new ClickEntry { TimeSeconds = 1, SnrDb = 12 }], History = [], Arrays = [Sound.Arrays[0] with { TrimSets = [], ActiveTrim = null, Patch = null }],
        }, "uncertain");
        Assert.Contains("12 dB above the noise only", uncertain, StringComparison.Ordinal);
        Assert.Contains("One clap stood for all spots", uncertain, StringComparison.Ordinal);
        Assert.Contains("have not been lined up", uncertain, StringComparison.Ordinal);
        Assert.Contains("have not been checked", uncertain, StringComparison.Ordinal);
    }

    // Inverse-square law: 6 dB at 4 m is 0 dB at 4·10^(6/20) = 7.98 m.
    [Fact]
    public void CriticalDistanceFollowsTheInverseSquareLaw()
    {
        var placement = Section(Sound, "placement");
        Assert.Contains("8.0 m", placement, StringComparison.Ordinal);
        // One target for the report and for 'plan': both equal, as at the critical distance.
        Assert.Contains("it may stand at 2.0 times the distance", placement, StringComparison.Ordinal);
        Assert.Contains("direct sound leads", placement, StringComparison.Ordinal);
    }

    [Fact]
    public void BareSessionSaysWhatIsMissingInEverySection()
    {
        var bare = Fresh() with { Arrays = [Fresh().Arrays[0] with { TrimSets = [], ActiveTrim = null, Patch = null }] };
        foreach (var id in new[] { "line-up", "patch", "clicks", "plan", "placement", "history" })
            Assert.Contains("class=\"missing\"", Section(bare, id), StringComparison.Ordinal);
    }

    [Fact]
    public void TextOfTheSessionCannotBreakThePage()
    {
        var page = SessionReport.Compose(Sound with { Title = "<script>x</script> & \"y\"", Spots = [Spot("<b>flute", 0.99, 0.02)] }, new ReportMaterial());
        Assert.DoesNotContain("<script", page, StringComparison.Ordinal);
        Assert.DoesNotContain("<b>flute", page, StringComparison.Ordinal);
        Assert.Contains("&lt;b&gt;flute", page, StringComparison.Ordinal);
    }

    [Fact]
    public void SameSessionGivesTheSamePage()
    {
        var material = new ReportMaterial { MadeAt = DateTimeOffset.UnixEpoch };
        Assert.Equal(SessionReport.Compose(Sound, material), SessionReport.Compose(Sound, material));
    }

    [Fact]
    public void TrimOutsideItsToleranceIsCounted()
    {
        var lineUp = Section(Fresh(0, 0.12, -0.3, 0.03), "line-up");
        Assert.Contains("Two channels lie outside ±0.10 dB", lineUp, StringComparison.Ordinal);
        Assert.Contains("FRD +0.12 ± 0.01", lineUp, StringComparison.Ordinal);
        Assert.Contains("All four match", Section(Fresh(), "line-up"), StringComparison.Ordinal);
    }

    [Fact]
    public void TrimsThatAreNotToldAreNotSaidToPutAnythingRight()
    {
        var set = new TrimSet { Name = "room", Source = "diffuse field", Db = [0, 0.4, -0.3, 2], UncertaintyDb = [0, 0.89, 0.89, 0.89], ToleranceDb = 0.1 };
        var lineUp = Section(Sound with { Arrays = [Sound.Arrays[0] with { TrimSets = [set], ActiveTrim = "room" }] }, "line-up");
        Assert.Contains("One channel lies outside ±0.10 dB as recorded; the trims below put it right to within ±0.89 dB", lineUp, StringComparison.Ordinal);
        Assert.Contains("Two channels cannot be told: known to ±0.89 dB only", lineUp, StringComparison.Ordinal);
        Assert.DoesNotContain("Three channels lie", lineUp, StringComparison.Ordinal);
    }

    [Fact]
    public void AnUncertaintyOfNothingIsNotPrinted()
    {
        var set = Sound.Arrays[0].TrimSets[0] with { UncertaintyDb = [0, 0.00002, 0.00002, 0.00002] };
        var exact = Sound with { Arrays = [Sound.Arrays[0] with { TrimSets = [set] }], Spots = [Spot("flute", 0.99, 0.0001)] };
        Assert.Contains("± less than 0.01", Section(exact, "line-up"), StringComparison.Ordinal);
        Assert.Contains("± less than 0.001", Section(exact, "clicks"), StringComparison.Ordinal);
        foreach (var id in new[] { "line-up", "clicks", "glance" })
            Assert.DoesNotMatch("± ?0\\.0+(?![0-9])", Section(exact, id));
    }

    [Theory]
    [InlineData("patch")]
    [InlineData("order")]
    [InlineData("trims")]
    [InlineData("trim in use")]
    [InlineData("clipped")]
    public void NothingIsLeftToDoOnlyWherePatchLineUpAndLevelsAreInOrder(string fault)
    {
        static string ToDo(SessionDocument session) => Regex.Match(Section(session, "glance"), "To be done</dt><dd>(\\d+)").Groups[1].Value;
        var array = Sound.Arrays[0];
        var faulty = fault switch
        {
            "patch" => Sound with { Arrays = [array with { Patch = null }] },
            "order" => Sound with { Arrays = [array with { Patch = array.Patch! with { Order = null } }] },
            "trims" => Sound with { Arrays = [array, array with { Id = "high", Channels = [11, 12, 13, 14], TrimSets = [], ActiveTrim = null }] },
            "trim in use" => Sound with { Arrays = [array with { ActiveTrim = null }] },
            _ => Sound with { Spots = [Sound.Spots[0] with { Note = "the clap is clipped here: less gain gives a surer result" }] },
        };
        Assert.Equal("0", ToDo(Sound));
        Assert.Equal("1", ToDo(faulty));
    }

    // The simulator knows how much louder each spot hears its player than the array does: that much has to be taken off.
    [Fact]
    public void ASpotsGainIsPrintedAsWhatHasToBeAddedToIt()
    {
        var evening = EveningSession.Make();
        var rig = Section(evening.Document, "rig");
        Assert.Contains("Gain to match the array", rig, StringComparison.Ordinal);
        foreach (var (id, _) in EveningSession.Players)
        {
            var louderDb = evening.Recording.Truth.Spot(id).DirectOverArrayDb;
            Assert.InRange(louderDb, 10, 30);
            Assert.Matches($">{id}<[^\n]*{Regex.Escape(FormattableString.Invariant($"\u2212{louderDb:0.0} dB"))}", rig);
        }
    }

    private static string Section(SessionDocument session, string id)
    {
        var page = SessionReport.Compose(session, new ReportMaterial { MadeAt = DateTimeOffset.UnixEpoch });
        return WebUtility.HtmlDecode(Regex.Match(page, $"<section id=\"{id}\">.*?</section>", RegexOptions.Singleline).Value);
    }

    [Fact]
    public void WrongPatchIsTheFirstThingToBeDone()
    {
        var check = new PatchCheck { Ok = false, Order = ["FRD", "FLU", "BLD", "BRU"], Confidence = 0.99, Problems = ["channels 1 and 2 are swapped"] };
        var swapped = Sound with { Arrays = [Sound.Arrays[0] with { Patch = check }] };
        Assert.Contains("channels 1 and 2 are swapped", Section(swapped, "patch"), StringComparison.Ordinal);
        Assert.Contains("FRD FLU BLD BRU", Section(swapped, "patch"), StringComparison.Ordinal);
        Assert.Contains("look at <b>main</b>", Section(swapped, "glance"), StringComparison.Ordinal);
        Assert.Contains("order and polarity are right", Section(Sound, "patch"), StringComparison.Ordinal);
    }

    private static SessionDocument Fresh(params double[] trimDb) => new()
    {
        Title = "Quiet room", SampleRate = 48_000,
        Arrays =
        [
            new ArrayEntry
            {
                Id = "main", Channels = [1, 2, 3, 4], RadiusMm = 14.7, Pattern = 0.5,
                Capsules = [.. Labels.Select(label => CapsuleLabel.TryParse(label, out var capsule) ? capsule : throw new InvalidOperationException(label))],
                TrimSets = [new TrimSet { Name = "line-up", Source = "pink", Db = trimDb.Length > 0 ? trimDb : [0, 0.02, -0.03, 0.01], UncertaintyDb = [0.01, 0.01, 0.01, 0.01] }],
                ActiveTrim = "line-up",
                Patch = new PatchCheck { Ok = true, Order = Labels, Polarity = [1, 1, 1, 1], Confidence = 0.99 },
            },
        ],
    };

    private static SpotEntry Spot(string id, double confidence, double uncertaintySamples) => new()
    {
        Id = id, Channels = [5], Polarity = 1, DistanceM = 4, GainDb = 3,
        Delay = new SpotDelay { Samples = 480, Ms = 10, UncertaintySamples = uncertaintySamples, Confidence = confidence, Source = "click" },
        Direction = new SpotDirection { AzimuthDeg = 20, ElevationDeg = -4, UncertaintyDeg = 1 },
    };
}
