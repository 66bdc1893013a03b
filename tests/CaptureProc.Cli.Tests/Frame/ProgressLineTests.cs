using CaptureProc.Cli.Frame;

namespace CaptureProc.Cli.Tests.Frame;

public class ProgressLineTests
{
    [Fact]
    public void NothingIsShownWithoutATerminal()
    {
        var stderr = new StringWriter();
        using (var progress = new Desk(TextWriter.Null, stderr, isJson: false, isTerminal: false).Progress("convert"))
        {
            Thread.Sleep(120);
            progress.Report(0.5);
        }

        Assert.Equal("", stderr.ToString());
    }

    [Fact]
    public void OnATerminalTheLineIsRewrittenAndWipedAtTheEnd()
    {
        var stderr = new StringWriter();
        using (var progress = new Desk(TextWriter.Null, stderr, isJson: true, isTerminal: true).Progress("convert"))
        {
            Thread.Sleep(120);
            progress.Report(0.5);
        }

        var text = stderr.ToString();
        Assert.Contains("50 %", text, StringComparison.Ordinal);
        Assert.EndsWith(" \r", text, StringComparison.Ordinal);
        Assert.DoesNotContain('\n', text);
    }
}
