using System.Text.RegularExpressions;
using CaptureProc.Session;

namespace CaptureProc.Report.Tests;

/// <summary>The stage on paper: pictures to scale, places, what does not close, what combs.</summary>
public sealed class StageSectionTests
{
    private static readonly double[] Sharp = [4e-4, 1e-4, 0, 2e-4, 0, 9e-4];

    private static SessionDocument Staged => EveningSession.Make().Document with
    {
        Stage = new StageEntry
        {
            Array = "main", SpeedOfSound = 343.2, FloorM = -2.2,
            Spots = [Spot("harp", 3.2, 2.2), Spot("oboe", 3.6, 0.3), Spot("bass", 2.4, -1.6)],
            Claps = [new StageClapEntry { TimeSeconds = 1, Spot = "harp", PositionM = [3.6, 2.1, -1.2], CovarianceM2 = Sharp }, new StageClapEntry { TimeSeconds = 2, Spot = "oboe", PositionM = [3.9, 0.3, -0.9], CovarianceM2 = Sharp }],
            Closures = [new StageClosure { TimeSeconds = 1, Microphone = "oboe", ResidualMs = 0.01, Used = true }],
            Bleed =
            [
                new StageBleed { Player = "harp", Microphone = "oboe", LaterMs = 4.1, LevelDb = -9, AlignedMs = 0.5 },
                new StageBleed { Player = "oboe", Microphone = "harp", LaterMs = 4.6, LevelDb = -30, AlignedMs = 7 },
            ],
            Concerns = ["the clap at 1.000 s (harp) was heard twice"],
        },
    };

    [Fact]
    public void PicturesAreToScaleAndAPlayerWithoutAClapIsDrawnDifferently()
    {
        var page = SessionReport.Compose(Staged, new ReportMaterial());
        var section = page[page.IndexOf("<section id=\"stage\"", StringComparison.Ordinal)..page.IndexOf("<section id=\"placement\"", StringComparison.Ordinal)];

        Assert.Equal(3, Regex.Count(section, "<svg "));
        Assert.Contains("Does not close:</b> the clap at 1.000 s (harp) was heard twice", section, StringComparison.Ordinal);
        Assert.DoesNotContain("NaN", section, StringComparison.Ordinal);
        // The bass has no clap: the table says none, and its dot is hollow.
        Assert.Equal(1, Regex.Count(section, "<td[^>]*>none</td>"));
        Assert.Contains("Stage from above", section, StringComparison.Ordinal);
    }

    [Fact]
    public void ASessionWithoutAStageSaysWhatItWouldTake()
    {
        var page = SessionReport.Compose(EveningSession.Make().Document, new ReportMaterial());
        Assert.Contains("No places are known yet", page, StringComparison.Ordinal);
    }

    [Fact]
    public void CombingIsThatOfASoundAndItsCopy()
    {
        // A copy of 10^(−9/20) = 0.355 of the size, half a millisecond later: first notch at 1 kHz, 1.355 over 0.645 is 6.4 dB; −30 dB is no matter.
        var page = SessionReport.Compose(Staged, new ReportMaterial());
        Assert.Contains("1000 Hz", page, StringComparison.Ordinal);
        Assert.Contains("6.4 dB", page, StringComparison.Ordinal);
        Assert.Equal(1, Regex.Count(page, "<td[^>]*>(harp|oboe)</td><td[^>]*>(harp|oboe)</td>"));
    }

    private static StageSpot Spot(string id, double x, double y) => new() { Id = id, PositionM = [x, y, -1], CovarianceM2 = Sharp, OwnClaps = 1, OtherClaps = 2 };
}
