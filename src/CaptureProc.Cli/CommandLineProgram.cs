using System.CommandLine;
using System.CommandLine.Help;
using CaptureProc.Cli.Frame;
using CaptureProc.Session;

namespace CaptureProc.Cli;

/// <summary>The command line: finds the command, runs it, and turns whatever happens into text and an exit code.</summary>
/// <remarks>
/// Exit codes: 0 done and within tolerance; 1 done, but something needs attention; 2 input or arguments unusable.
/// With --json one object goes to standard output and nothing else; an error is <c>{ "error": { "code", "message" } }</c>.
/// No stack trace ever reaches the user.
/// </remarks>
public static class CommandLineProgram
{
    /// <param name="args">The words after the program's name.</param>
    /// <param name="stdout">Results.</param>
    /// <param name="stderr">Messages and progress.</param>
    /// <param name="isTerminal">Whether a person watches <paramref name="stderr"/>, so that progress is shown.</param>
    /// <param name="watcher">Told what is being done and which share of it; what it throws ends the command.</param>
    public static int Run(string[] args, TextWriter stdout, TextWriter stderr, bool isTerminal = false, Action<string, double>? watcher = null)
    {
        ArgumentNullException.ThrowIfNull(args);
        // Known before parsing, so that an error in the arguments is already said in the right form.
        (stdout, stderr) = (new ResultWriter(stdout), new MessageWriter(stderr));
        var desk = new Desk(stdout, stderr, isJson: args.Contains("--json"), isTerminal, watcher);
        try
        {
            ProcessorCheck.Require();
            var parsed = Parse(args.Length == 0 ? ["--help"] : args, desk);
            desk.CommandName = parsed.CommandResult.Command.Name;
            var exitCode = parsed
                .Invoke(new InvocationConfiguration { Output = stdout, Error = stderr, EnableDefaultExceptionHandler = false });
            stdout.Flush();
            return desk.ExitCode(exitCode);
        }
        catch (UnusableInputException e)
        {
            return desk.Refuse(e.Code, e.Message);
        }
        catch (OutOfMemoryException)
        {
            return desk.Refuse("out-of-memory", "there is not enough memory for this; close other programs or take a shorter stretch");
        }
#pragma warning disable CA1031 // The last line of defence: nobody at a desk can use a stack trace.
        catch (Exception e)
#pragma warning restore CA1031
        {
            return desk.Refuse("internal-error", $"this is a fault of the program ({e.GetType().Name}: {e.Message}); please report it with the command you gave");
        }
        finally
        {
            stderr.Flush();
        }
    }

    private static ParseResult Parse(string[] args, Desk desk)
    {
        var root = BuildRoot(args, desk);
        var configuration = new ParserConfiguration { EnablePosixBundling = false, ResponseFileTokenReplacer = null };
        var parsed = root.Parse(args, configuration);
        if (parsed.Action is HelpPage or VersionWords)
            return parsed;
        UnknownOptions.Refuse(parsed, args);
        if (SessionHere.Complete(parsed, args, desk) is { } completed)
            parsed = root.Parse(completed, configuration);
        return parsed.Errors.Count == 0 ? parsed : throw BadArguments(parsed);
    }

    private static UnusableInputException BadArguments(ParseResult parsed) => parsed.CommandResult.Command is RootCommand
        ? new("bad-arguments", parsed.UnmatchedTokens is [var word, ..]
            ? $"there is no command '{word}'; see 'captureproc --help'"
            : "no command is given; see 'captureproc --help'")
        : new("bad-arguments", $"{parsed.Errors[0].Message.TrimEnd('.')}; see 'captureproc {parsed.CommandResult.Command.Name} --help'");

    internal static RootCommand BuildRoot(string[] args, Desk desk)
    {
        var root = new RootCommand("From a slate recording to an aligned sound field: line up, measure, convert and mix a tetrahedral array with its spots.")
        {
            HelpName = "captureproc",
        };
        root.Options.Add(GlobalOptions.Json);
        foreach (var option in root.Options.OfType<HelpOption>())
            option.Action = new HelpPage();
        foreach (var option in root.Options.OfType<VersionOption>())
            option.Action = new VersionWords();
        foreach (var command in CommandList.Build(args, desk))
            root.Subcommands.Add(command);
        return root;
    }
}
