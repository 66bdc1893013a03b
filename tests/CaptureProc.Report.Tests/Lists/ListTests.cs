using System.Text;
using CaptureProc.Report.Lists;
using CaptureProc.Session;

namespace CaptureProc.Report.Tests.Lists;

/// <summary>What a mix engineer takes along, as programs from outside read it.</summary>
public sealed class ListTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("captureproc-").FullName;

    private static readonly SessionDocument Session = WordsOnThePageTests.Session() with
    {
        Spots =
        [
            new SpotEntry
            {
                Id = "harp", Channels = [5], Polarity = -1, DistanceM = 3.1, GainDb = -2.34, Note = "leans, a \"little\"\nto the left",
                Delay = new SpotDelay { Samples = 812.3746, Ms = 16.92447, UncertaintySamples = 0.04, Confidence = 0.9969, Source = "click" },
                Direction = new SpotDirection { AzimuthDeg = 31.24, ElevationDeg = -4 },
            },
            new SpotEntry { Id = "glocken", Channels = [6, 7] },
        ],
        Clicks = [new ClickEntry { TimeSeconds = 12.402, Spot = "harp" }, new ClickEntry { TimeSeconds = 3.25 }, new ClickEntry { TimeSeconds = 190.5, Spot = "glocken" }],
    };

    public void Dispose() => Directory.Delete(folder, recursive: true);

    // Read back by sqlite's import, which follows RFC 4180.
    [Fact]
    public void CsvIsReadAsItWasMeantByAnotherProgram()
    {
        var csv = Path.Combine(folder, "delays.csv");
        File.WriteAllText(csv, DelayList.Csv(Session, Session.Arrays[0]));

        var read = Encoding.UTF8.GetString(Tool.Run("sqlite3", ":memory:", "-cmd", $".import --csv {csv} d",
            "select spot, channels, delay_samples, delay_ms, uncertainty_samples, confidence, polarity, azimuth_deg, elevation_deg, distance_m, gain_db, replace(note, char(10), '/') from d"));

        Assert.Equal("harp|5|812.375|16.9245|0.040|0.996|-1|31.2|-4.0|3.10|-2.3|leans, a \"little\"/to the left\nglocken|6 7||||||||||\n", read);
    }

    [Fact]
    public void TextStandsInColumns()
    {
        var lines = DelayList.Text(Session with { Spots = [Session.Spots[0] with { Note = null }, Session.Spots[1]] }, Session.Arrays[0]).TrimEnd().Split('\n');

        Assert.Equal("Two lanterns", lines[0]);
        Assert.Contains("array main, at 48000 Hz", lines[1], StringComparison.Ordinal);
        Assert.Equal(lines[3].IndexOf("samples", StringComparison.Ordinal) + "samples".Length, lines[4].IndexOf("812.375", StringComparison.Ordinal) + "812.375".Length);
        Assert.Matches("^glocken  6 7 +- +-", lines[5]);
    }

    // midicsv prints every event with its time in ticks: 120 quarters a minute of 960 ticks make 1,920 ticks a second.
    [Fact]
    public void MarkersStandWhereTheClapsAreAsAnotherProgramReadsThem()
    {
        var file = Path.Combine(folder, "claps.mid");
        File.WriteAllBytes(file, MarkerFile.Make(Session, Session.Arrays[0]));

        var events = Encoding.UTF8.GetString(Tool.Run("midicsv", file)).Split('\n').Select(l => l.Trim()).Where(l => l.Length > 0).ToList();

        Assert.Equal("0, 0, Header, 0, 1, 960", events[0]);
        Assert.Contains("1, 0, Tempo, 500000", events);
        Assert.Contains("1, 0, Title_t, \"Two lanterns\"", events);
        Assert.Equal(
        [
            $"1, {3.25 * 1920:0}, Marker_t, \"clap\"", $"1, {Math.Round(12.402 * 1920):0}, Marker_t, \"harp: clap, spot +812.37 samples\"", $"1, {190.5 * 1920:0}, Marker_t, \"glocken: clap\"",
        ], events.Where(e => e.Contains("Marker_t", StringComparison.Ordinal)));
        Assert.Equal("0, 0, End_of_file", events[^1]);
    }

    [Fact]
    public void SessionWithoutClapsHasNothingToMark() =>
        Assert.Contains("nothing to mark", Assert.Throws<UnusableInputException>(() => MarkerFile.Make(Session with { Clicks = [] }, Session.Arrays[0])).Message, StringComparison.Ordinal);
}
