using System.CommandLine;
using CaptureProc.Cli.Commands;

namespace CaptureProc.Cli.Frame;

/// <summary>The commands, in the order of the work.</summary>
internal static class CommandList
{
    public static readonly IReadOnlyList<CommandGroup> Groups =
    [
        new("Begin",
        [
            (StartCommand.Name, StartCommand.Create),
            (RigCommand.Name, RigCommand.Create),
            (PresetsCommand.Name, PresetsCommand.Create),
        ]),
        new("Line up and check",
        [
            (SignalCommand.Name, SignalCommand.Create),
            (LevelCommand.Name, LevelCommand.Create),
            (PatchCommand.Name, PatchCommand.Create),
        ]),
        new("Place and measure",
        [
            (PlanCommand.Name, PlanCommand.Create),
            (MeasureCommand.Name, MeasureCommand.Create),
        ]),
        new("Make sound of it",
        [
            (ConvertCommand.Name, ConvertCommand.Create),
            (AlignCommand.Name, AlignCommand.Create),
            (MixCommand.Name, MixCommand.Create),
            (ListenCommand.Name, ListenCommand.Create),
            (DeliverCommand.Name, DeliverCommand.Create),
        ]),
        new("Hand over",
        [
            (NoteCommand.Name, NoteCommand.Create),
            (ReportCommand.Name, ReportCommand.Create),
            (PublishCommand.Name, PublishCommand.Create),
        ]),
        new("Besides",
        [
            (DeskCommand.Name, DeskCommand.Create),
            (HeadCommand.Name, HeadCommand.Create),
            (HostCommand.Name, HostCommand.Create),
            (DemoCommand.Name, DemoCommand.Create),
            (ManualCommand.Name, ManualCommand.Create),
        ]),
    ];

    /// <summary>The commands that are called; all of them where none is.</summary>
    /// <remarks>Only the command that is called is built: options are generic types, and making all of them costs start-up time.</remarks>
    public static IEnumerable<Command> Build(string[] args, Desk desk)
    {
        var all = Groups.SelectMany(g => g.Commands).ToList();
        var isCalled = all.Exists(c => args.Contains(c.Name));
        return all.Where(c => !isCalled || args.Contains(c.Name)).Select(c => c.Create(desk));
    }
}

/// <summary>Commands of one stage of the work.</summary>
/// <param name="Heading">Of the stage.</param>
/// <param name="Commands">Names, and what makes each.</param>
internal sealed record CommandGroup(string Heading, IReadOnlyList<(string Name, Func<Desk, Command> Create)> Commands);
