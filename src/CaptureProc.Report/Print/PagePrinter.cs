using System.ComponentModel;
using System.Diagnostics;
using CaptureProc.Session;

namespace CaptureProc.Report.Print;

/// <summary>Prints a page to PDF through Chromium, where that is on the machine.</summary>
/// <remarks>Thread: [main]. Chromium is started as a process of its own, with a profile that is thrown away; the page points nowhere outside.</remarks>
public static class PagePrinter
{
    private static readonly string[] Names = ["chromium", "chromium-browser"];

    // A page takes a second or two; a machine under load, many times that.
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(3);

    /// <summary>The page as a PDF file's bytes.</summary>
    public static byte[] ToPdf(string html, string outputPath)
    {
        var browser = Find() ?? throw new UnusableInputException("no-chromium",
            $"{outputPath}: a PDF is printed by Chromium, which is not on this machine; install it, or write {Path.ChangeExtension(outputPath, ".html")} and print that from a browser");
        var folder = Directory.CreateTempSubdirectory("captureproc-print-");
        try
        {
            var (page, pdf) = (Path.Combine(folder.FullName, "report.html"), Path.Combine(folder.FullName, "report.pdf"));
            File.WriteAllText(page, html);
            Run(browser, Path.Combine(folder.FullName, "profile"), page, pdf, outputPath);
            return File.Exists(pdf) ? File.ReadAllBytes(pdf) : throw Failed(browser, outputPath, "it wrote no file");
        }
        finally
        {
            TryDelete(folder);
        }
    }

    private static string? Find()
    {
        var folders = (Environment.GetEnvironmentVariable("PATH") ?? "").Split(Path.PathSeparator, StringSplitOptions.RemoveEmptyEntries);
        var names = OperatingSystem.IsWindows() ? Names.Select(n => n + ".exe") : Names;
        return folders.SelectMany(f => names.Select(n => Path.Combine(f, n))).FirstOrDefault(File.Exists);
    }

    private static void Run(string browser, string profile, string page, string pdf, string outputPath)
    {
        var start = new ProcessStartInfo(browser,
        [
            "--headless", "--disable-gpu", "--disable-dev-shm-usage", "--no-first-run", "--no-pdf-header-footer", $"--user-data-dir={profile}", $"--print-to-pdf={pdf}",
            // It refuses to work for root behind its own walls; the page is ours and holds no script.
            .. Environment.IsPrivilegedProcess && !OperatingSystem.IsWindows() ? ["--no-sandbox"] : Array.Empty<string>(),
            new Uri(page).AbsoluteUri,
        ])
        { RedirectStandardOutput = true, RedirectStandardError = true };
        try
        {
            using var process = Process.Start(start)!;
            var said = process.StandardError.ReadToEndAsync();
            _ = process.StandardOutput.ReadToEndAsync();
            if (!process.WaitForExit(Patience))
            {
                process.Kill(entireProcessTree: true);
                throw Failed(browser, outputPath, "it did not come to an end");
            }
            if (process.ExitCode != 0)
                throw Failed(browser, outputPath, said.Result.Trim().Split('\n')[^1]);
        }
        catch (Win32Exception e)
        {
            throw Failed(browser, outputPath, e.Message);
        }
    }

    private static UnusableInputException Failed(string browser, string outputPath, string reason) => new("print-failed",
        $"{outputPath}: {browser} did not print it ({reason}); write {Path.ChangeExtension(outputPath, ".html")} and print that from a browser");

    private static void TryDelete(DirectoryInfo folder)
    {
        try
        {
            folder.Delete(recursive: true);
        }
        catch (IOException)
        {
            // A helper of the browser may still be writing its profile; the system clears its folder for passing files.
        }
    }
}
