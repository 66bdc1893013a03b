using System.CommandLine;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Frame;

/// <summary>SESSION, one or more takes, and where the result goes: the words of every command that renders.</summary>
internal sealed class TakeArguments
{
    private readonly Argument<string> session = new("SESSION") { Description = "The session file." };
    private readonly Argument<string[]> files;
    private readonly Option<bool> ignoreStamps = GlobalOptions.IgnoreStamps();
    private readonly string outputWord;

    /// <summary>How several files are told apart in time and side by side, for descriptions.</summary>
    public const string Between = "write 'then' between two that follow one another in time ('with' if they run side by side) where it cannot be recognised.";

    /// <param name="outputWord">What the last word is: OUT.wav, OUTDIR.</param>
    /// <param name="outputHelp">Its description.</param>
    public TakeArguments(string outputWord, string outputHelp)
    {
        this.outputWord = outputWord;
        files = new Argument<string[]>($"TAKE.wav… {outputWord}")
        {
            Description = $"The files of the take, whose channels count on from one to the next; {Between} Last comes {outputHelp}",
            Arity = ArgumentArity.OneOrMore,
        };
    }

    public void AddTo(Command command)
    {
        command.Arguments.Add(session);
        command.Arguments.Add(files);
        command.Options.Add(ignoreStamps);
    }

    public (string Session, TakeFiles Take, string Output) Read(ParseResult parsed)
    {
        var words = parsed.GetRequiredValue(files);
        return words.Length >= 2
            ? (parsed.GetRequiredValue(session), new TakeFiles(words[..^1], parsed.GetValue(ignoreStamps)), words[^1])
            : throw new UnusableInputException("bad-arguments",
                $"a take and an output are needed, but only '{words[0]}' is given; write captureproc {parsed.CommandResult.Command.Name} SESSION TAKE.wav {outputWord}");
    }
}
