using System.Buffers.Binary;
using System.Text;
using System.Text.RegularExpressions;

namespace CaptureProc.Report.Tests;

/// <summary>The page in a browser: what a person would see and print.</summary>
public sealed partial class ReportPageTests : IClassFixture<ReportPageTests.Evening>
{
    private static readonly string[] Sections = ["glance", "rig", "line-up", "patch", "clicks", "plan", "placement", "array", "uncertain", "history"];

    private readonly Evening evening;

    public ReportPageTests(Evening evening) => this.evening = evening;

    [Fact]
    public void EverySectionIsThereInOrderAndFilled()
    {
        var (dom, _) = evening.Visit(evening.Page, "--dump-dom");
        Assert.Equal(Sections, SectionId().Matches(dom).Select(m => m.Groups[1].Value));
        Assert.All(Sections, id =>
        {
            var body = dom[dom.IndexOf($"<section id=\"{id}\"", StringComparison.Ordinal)..];
            body = body[..body.IndexOf("</section>", StringComparison.Ordinal)];
            Assert.True(Tag().Replace(body, "").Trim().Length > 60, id);
        });
        // Line-up, four clicks before and after, plan, two responses, three directivities.
        Assert.Equal(1 + 4 * 2 + 1 + 2 + 3, Regex.Count(dom, "<svg "));
        Assert.DoesNotContain("NaN", dom, StringComparison.Ordinal);
    }

    [Fact]
    public void BrowserHasNothingToComplainAbout()
    {
        Assert.DoesNotContain("CONSOLE", evening.Visit(evening.Page, "--dump-dom").Log, StringComparison.Ordinal);

        // The same look at a page with a fault shows that a complaint would have been seen.
        File.WriteAllText(evening.At("faulty.html"), "<!doctype html><title>x</title><script>nowhere()</script>");
        Assert.Contains("CONSOLE", evening.Visit(evening.At("faulty.html"), "--dump-dom").Log, StringComparison.Ordinal);
    }

    [Fact]
    public void NothingInThePagePointsOutside()
    {
        var html = File.ReadAllText(evening.Page);
        Assert.Empty(OutsideReference().Matches(html).Select(m => m.Value));
        Assert.DoesNotContain("<script", html, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("@import", html, StringComparison.OrdinalIgnoreCase);
        var ids = Regex.Matches(html, " id=\"([^\"]+)\"").Select(m => m.Groups[1].Value).ToList();
        Assert.Equal(ids.Count, ids.Distinct().Count());
        Assert.All(Regex.Matches(html, "url\\(#([^)]+)\\)|href=\"#([^\"]+)\"").Select(m => m.Groups[1].Value + m.Groups[2].Value), id => Assert.Contains(id, ids));
    }

    [Fact]
    public void ScreenshotShowsAPageFullOfInk()
    {
        var (shot, blank) = (evening.At("page.png"), evening.At("blank.png"));
        evening.Visit(evening.Page, "--window-size=820,4600", $"--screenshot={shot}");
        File.WriteAllText(evening.At("blank.html"), "<!doctype html><title>x</title>");
        evening.Visit(evening.At("blank.html"), "--window-size=820,4600", $"--screenshot={blank}");

        var png = File.ReadAllBytes(shot);
        Assert.Equal((820, 4600), (BinaryPrimitives.ReadInt32BigEndian(png.AsSpan(16)), BinaryPrimitives.ReadInt32BigEndian(png.AsSpan(20))));
        // Text and curves do not compress: an empty page of this size takes a twentieth of it.
        Assert.True(png.Length > 10 * new FileInfo(blank).Length, $"{png.Length} bytes against {new FileInfo(blank).Length} of a blank page");
    }

    [Fact]
    public void PrintsOnSheetsOfA4()
    {
        var pdf = evening.At("page.pdf");
        evening.Visit(evening.Page, "--no-pdf-header-footer", $"--print-to-pdf={pdf}");
        var boxes = Regex.Matches(Encoding.Latin1.GetString(File.ReadAllBytes(pdf)), @"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]");
        Assert.InRange(boxes.Count, 3, 9);
        // ISO 216: 210 by 297 mm, in points of 1/72 inch.
        Assert.All(boxes, box =>
        {
            Assert.Equal(595.3, double.Parse(box.Groups[1].Value), 1.0);
            Assert.Equal(841.9, double.Parse(box.Groups[2].Value), 1.0);
        });
    }

    [Theory]
    [InlineData(700)]
    [InlineData(1200)]
    public void NothingSticksOutAtTheSide(int widthPixels)
    {
        var probe = evening.At($"probe-{widthPixels}.html");
        File.WriteAllText(probe, File.ReadAllText(evening.Page).Replace("</body>",
            "<script>document.title = document.documentElement.scrollWidth + ' of ' + document.documentElement.clientWidth</script></body>", StringComparison.Ordinal));
        var title = Regex.Match(evening.Visit(probe, $"--window-size={widthPixels},900", "--dump-dom").Output, @"<title>(\d+) of (\d+)</title>");
        Assert.True(title.Success);
        Assert.Equal(title.Groups[2].Value, title.Groups[1].Value);
    }

    [GeneratedRegex("<section id=\"([^\"]+)\"")]
    private static partial Regex SectionId();

    [GeneratedRegex("<[^>]*>")]
    private static partial Regex Tag();

    [GeneratedRegex("(?:src|href|url)\\s*[=(]\\s*[\"']?(?!#|data:)[^\\s\"')>]+")]
    private static partial Regex OutsideReference();

    /// <summary>One page for all tests of the class: simulating and composing it takes longer than looking at it.</summary>
    public sealed class Evening : IDisposable
    {
        private readonly string folder = Directory.CreateTempSubdirectory("captureproc-").FullName;

        public Evening()
        {
            var session = EveningSession.Make();
            File.WriteAllText(Page, SessionReport.Compose(session.Document, session.Material(session.WriteSlate(folder))));
        }

        public string Page => At("report.html");

        public string At(string name) => Path.Combine(folder, name);

        public (string Output, string Log) Visit(string page, params string[] options) => Chromium.Visit(page, At($"profile-{Guid.NewGuid():N}"), options);

        public void Dispose() => Directory.Delete(folder, recursive: true);
    }
}
