using System.Text;
using CaptureProc.Session;

namespace CaptureProc.Cli.Frame;

/// <summary>Standard output that says in one line when it takes nothing: a full disk behind a redirection.</summary>
internal sealed class ResultWriter(TextWriter inner) : TextWriter
{
    public const string RefusalCode = "result-refused";

    public override Encoding Encoding => inner.Encoding;

    public override void Write(char value) => Guard(() => inner.Write(value));

    public override void Write(char[] buffer, int index, int count) => Guard(() => inner.Write(buffer, index, count));

    public override void Write(string? value) => Guard(() => inner.Write(value));

    public override void WriteLine(string? value) => Guard(() => inner.WriteLine(value));

    public override void Flush() => Guard(inner.Flush);

    private static void Guard(Action write)
    {
        try
        {
            write();
        }
        catch (IOException e)
        {
            throw new UnusableInputException(RefusalCode, $"standard output: the result cannot be written there ({e.Message.TrimEnd('.')}); files that the command makes are not concerned", e);
        }
    }
}

/// <summary>Standard error: what cannot be said there cannot be said at all, and the exit code has to do.</summary>
internal sealed class MessageWriter(TextWriter inner) : TextWriter
{
    public override Encoding Encoding => inner.Encoding;

    public override void Write(char value) => Try(() => inner.Write(value));

    public override void Write(char[] buffer, int index, int count) => Try(() => inner.Write(buffer, index, count));

    public override void Write(string? value) => Try(() => inner.Write(value));

    public override void WriteLine(string? value) => Try(() => inner.WriteLine(value));

    public override void Flush() => Try(inner.Flush);

    private static void Try(Action write)
    {
        try
        {
            write();
        }
        catch (IOException)
        {
            // There is nowhere left to say it.
        }
    }
}
