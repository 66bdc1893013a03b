using System.Buffers.Binary;
using System.Net;
using System.Text;
using System.Text.RegularExpressions;

namespace CaptureProc.Report.Tests;

/// <summary>The page in a browser: what a person would see and print.</summary>
public sealed partial class ReportPageTests : IClassFixture<ReportPageTests.Evening>
{
    private static readonly string[] Sections = ["glance", "rig", "line-up", "patch", "clicks", "plan", "stage", "placement", "array", "uncertain", "history"];

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
        // The array as mounted, line-up, four claps before and after, plan, two responses, three directivities.
        Assert.Equal(1 + 1 + 4 * 2 + 1 + 2 + 3, Regex.Count(dom, "<svg "));
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

    // Telephones, desks and wide screens; each in a frame of its own, since a browser's window has a least width.
    [Fact]
    public void NothingSticksOutAtTheSideAndWideScreensAreUsed()
    {
        int[] widths = [360, 400, 700, 1280, 2560];
        var page = WebUtility.HtmlEncode(File.ReadAllText(evening.Page));
        const string look = "var d=this.contentDocument,w=0;d.querySelectorAll('table,figure,p,dl').forEach(e=>{w=Math.max(w,e.getBoundingClientRect().right)});"
            + "document.title+=d.documentElement.scrollWidth+','+Math.ceil(w)+','+d.querySelector('#clicks figure').parentNode.getBoundingClientRect().width+';'";
        var probe = evening.At("probe.html");
        File.WriteAllText(probe, "<!doctype html><title>seen </title>" + string.Concat(widths.Select(width =>
            $"<iframe style=\"width:{width}px;height:900px;border:0\" srcdoc=\"{page}\" onload=\"{look}\"></iframe>")));

        var seen = Regex.Matches(evening.Visit(probe, "--window-size=2700,900", "--dump-dom").Output.Split("</title>")[0], @"(\d+),(\d+),([\d.]+);")
            .Select(m => (Scroll: int.Parse(m.Groups[1].Value), Right: int.Parse(m.Groups[2].Value))).Order().ToList();

        Assert.Equal(widths, seen.Select(s => s.Scroll));
        Assert.All(seen, s => Assert.True(s.Right <= s.Scroll, $"{s.Right} of {s.Scroll}"));
        // 660 px in the middle of 2560 is a newspaper's column: more than half of a wide screen is used.
        Assert.True(seen[^1].Right > 0.7 * 2560, $"the page ends at {seen[^1].Right} of 2560");
    }

    [Fact]
    public void ColoursOfPlotsAreThePagesOwnSoThatNightTurnsThemToo()
    {
        var html = File.ReadAllText(evening.Page);

        Assert.Contains("prefers-color-scheme: dark", html, StringComparison.Ordinal);
        Assert.NotEmpty(Regex.Matches(html, @"var\(--ink,rgb"));
        Assert.Empty(Regex.Matches(html, @"(?<!var\(--[a-z0-3-]+,)rgb\([^)]*\)").Select(m => m.Value));
        Assert.Empty(Regex.Matches(html, "(?:fill|stroke):(?:black|white)").Select(m => m.Value));
        var names = Regex.Matches(html, @"var\(--([a-z0-3-]+)").Select(m => m.Groups[1].Value).Distinct();
        Assert.All(names, name => Assert.Contains($"--{name}:", html, StringComparison.Ordinal));
    }

    [Fact]
    public void PrintedPagesAreNumbered()
    {
        var pdf = evening.At("numbered.pdf");
        evening.Visit(evening.Page, "--no-pdf-header-footer", $"--print-to-pdf={pdf}");

        var text = Encoding.UTF8.GetString(Tool.Run("pdftotext", "-layout", pdf, "-"));

        var numbers = Regex.Matches(text, @"page (\d+) of (\d+)").Select(m => (int.Parse(m.Groups[1].Value), int.Parse(m.Groups[2].Value))).ToList();
        Assert.Equal(Enumerable.Range(1, numbers.Count).Select(n => (n, numbers.Count)), numbers);
        Assert.InRange(numbers.Count, 3, 9);
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
