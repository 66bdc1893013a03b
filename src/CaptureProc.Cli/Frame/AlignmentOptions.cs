using System.CommandLine;
using CaptureProc.Rendering.Alignment;

namespace CaptureProc.Cli.Frame;

/// <summary>The options of the commands that line spots up with the array.</summary>
internal sealed class AlignmentOptions
{
    private readonly FieldOptions field = new();

    private readonly Option<int> order = Values.Choice("--order", "Order of the field in which spots are placed.", 1, ("1", 1), ("2", 2), ("3", 3));

    private readonly Option<double?> later = Values.Number("--later", "Holds every spot back further.", "MS", -1000, 1000);

    public void AddTo(Command command)
    {
        command.Options.Add(order);
        command.Options.Add(later);
        field.AddTo(command);
    }

    public AlignmentSettings Read(ParseResult parsed) => new()
    {
        Field = field.Read(parsed),
        Order = parsed.GetValue(order),
        LaterMs = parsed.GetValue(later) ?? 0,
    };
}
