using System.CommandLine;
using System.Globalization;
using System.Text.Json.Nodes;
using CaptureProc.Cli.Frame;
using CaptureProc.Session;
using CaptureProc.Vst3.Hosting;
using CaptureProc.Wav;
using Spectre.Console;

namespace CaptureProc.Cli.Commands;

/// <summary><c>host</c>: runs a VST 3 effect over a file, or says what is in one.</summary>
internal static class HostCommand
{
    public const string Name = "host";

    private const int DefaultBlockFrames = 512;
    private const int MaxBlockFrames = 65536;

    // A list longer than this is told by its ends: hosts would show it, a table cannot.
    private const int MaxListedSteps = 12;

    public static Command Create(Desk desk)
    {
        var plugin = new Argument<string>("PLUGIN.vst3") { Description = "The plug-in's bundle." };
        var input = new Argument<string?>("IN.wav") { Description = "What it is fed with.", Arity = ArgumentArity.ZeroOrOne };
        var output = new Argument<string?>("OUT.wav") { Description = "What comes out.", Arity = ArgumentArity.ZeroOrOne };
        var list = new Option<bool>("--list") { Description = "Only list the classes, or with one class its parameters." };
        var pluginClass = Values.Text("--class", "The class to run, by name, where the bundle holds several.", "NAME");
        var sets = Values.Texts("--set", "Sets a parameter before the start; may be given several times, taken in order.", "PARAMETER=VALUE");
        var state = Values.Text("--state", "A preset to begin with (.vstpreset).", "FILE");
        var saveState = Values.Text("--save-state", "Writes the plug-in's state at the end as a preset.", "FILE");
        var block = Values.Number("--block", $"Frames of a block. Usually {DefaultBlockFrames}.", "N", 1, MaxBlockFrames);
        var tail = Values.Number("--tail", "Goes on for so many seconds after the end of the file.", "SECONDS", 0, 3600);
        var keepLatency = new Option<bool>("--keep-latency") { Description = "Leaves the reported latency in; usually it is taken out, so that input and output line up." };
        var bits = Values.Choice("--bits", "Samples of the output.", SampleFormat.Float32, ("24", SampleFormat.Pcm24), ("32f", SampleFormat.Float32));
        var replace = GlobalOptions.Replace();
        var command = new Command(Name, "Runs a VST 3 effect over a file.")
        {
            plugin, input, output, list, pluginClass, sets, state, saveState, block, tail, keepLatency, bits, replace,
        };
        command.SetAction(parsed =>
        {
            try
            {
                using var bundle = PluginBundle.Load(parsed.GetValue(plugin)!);
                var chosen = Choose(bundle, parsed.GetValue(pluginClass), mayBeNone: parsed.GetValue(list));
                if (chosen == null)
                    return ListClasses(desk, bundle);
                using var effect = bundle.Create(chosen);
                if (parsed.GetValue(state) is { } preset)
                    effect.SetState(PresetFile.ReadComponentState(ReadAll(preset), chosen.Id, preset));
                foreach (var set in parsed.GetValue(sets)!)
                    PluginParameters.Set(effect, set);
                if (parsed.GetValue(list))
                    return ListParameters(desk, effect);
                var run = new PluginRun(
                    effect, (int)(parsed.GetValue(block) ?? DefaultBlockFrames), parsed.GetValue(tail) ?? 0, parsed.GetValue(keepLatency));
                var (from, to) = (parsed.GetValue(input), parsed.GetValue(output));
                if (from == null || to == null)
                    throw new UnusableInputException("bad-arguments", "give IN.wav and OUT.wav, or --list to see what the plug-in has");
                var done = run.Play(desk, from, to, parsed.GetValue(bits), parsed.GetValue(replace));
                if (parsed.GetValue(saveState) is { } saved)
                    WriteAll(saved, PresetFile.Write(chosen.Id, effect.GetState()), parsed.GetValue(replace));
                return Show(desk, effect, done);
            }
            catch (PluginException e)
            {
                throw new UnusableInputException("plug-in", e.Message, e);
            }
        });
        return command;
    }

    private static PluginClass? Choose(PluginBundle bundle, string? name, bool mayBeNone)
    {
        if (bundle.Classes.Count == 0)
            throw new UnusableInputException("plug-in", $"{bundle.Path}: holds no class that processes audio");
        if (name != null)
        {
            return bundle.Classes.FirstOrDefault(c => string.Equals(c.Name, name, StringComparison.OrdinalIgnoreCase))
                ?? throw new UnusableInputException("no-such-class", $"{bundle.Path}: has no class '{name}'; it has {Names(bundle)}");
        }
        if (bundle.Classes.Count == 1)
            return bundle.Classes[0];
        return mayBeNone ? null : throw new UnusableInputException("which-class", $"{bundle.Path}: holds several classes; give one with --class: {Names(bundle)}");
    }

    private static string Names(PluginBundle bundle) => string.Join(", ", bundle.Classes.Select(c => c.Name));

    private static int ListClasses(Desk desk, PluginBundle bundle)
    {
        var table = new Table().Border(TableBorder.Simple).AddColumns("class", "kind", "in", "out", "latency", "version", "maker");
        var classes = new JsonArray();
        foreach (var pluginClass in bundle.Classes)
        {
            using var effect = bundle.Create(pluginClass);
            table.AddRow(Array.ConvertAll(
                new[]
                {
                    pluginClass.Name, pluginClass.SubCategories, Text(effect.InputChannels), Text(effect.OutputChannels), Text(effect.LatencyFrames),
                    pluginClass.Version, pluginClass.Vendor,
                },
                Markup.Escape));
            classes.Add((JsonNode)new JsonObject
            {
                ["name"] = pluginClass.Name, ["id"] = pluginClass.Id.ToString(), ["kind"] = pluginClass.SubCategories,
                ["inputs"] = effect.InputChannels, ["outputs"] = effect.OutputChannels, ["latencyFrames"] = effect.LatencyFrames,
                ["version"] = pluginClass.Version, ["vendor"] = pluginClass.Vendor,
            });
        }
        desk.Show(table);
        desk.Show(new JsonObject { ["classes"] = classes });
        return Desk.Done;
    }

    private static int ListParameters(Desk desk, HostedEffect effect)
    {
        var table = new Table().Border(TableBorder.Simple).AddColumns("parameter", "value", "range", "");
        var parameters = new JsonArray();
        foreach (var parameter in effect.Parameters.Where(p => !p.IsHidden))
        {
            var value = WithUnit(parameter, effect.TextOf(parameter.Id, effect.GetNormalized(parameter.Id)));
            table.AddRow(Array.ConvertAll(new[] { parameter.Title, value, Range(effect, parameter), parameter.IsReadOnly ? "shown only" : "" }, Markup.Escape));
            parameters.Add((JsonNode)new JsonObject
            {
                ["title"] = parameter.Title, ["id"] = parameter.Id, ["value"] = effect.TextOf(parameter.Id, effect.GetNormalized(parameter.Id)),
                ["unit"] = parameter.Unit, ["normalized"] = effect.GetNormalized(parameter.Id), ["steps"] = parameter.StepCount, ["readOnly"] = parameter.IsReadOnly,
            });
        }
        desk.Show(table);
        desk.Show(new JsonObject { ["class"] = effect.Class.Name, ["parameters"] = parameters });
        return Desk.Done;
    }

    private static string Range(HostedEffect effect, HostedParameter parameter) => parameter.StepCount is > 0 and < MaxListedSteps
        ? string.Join(", ", Enumerable.Range(0, parameter.StepCount + 1).Select(step => effect.TextOf(parameter.Id, (double)step / parameter.StepCount)))
        : $"{WithUnit(parameter, effect.TextOf(parameter.Id, 0))} to {WithUnit(parameter, effect.TextOf(parameter.Id, 1))}";

    private static string WithUnit(HostedParameter parameter, string text) => parameter.Unit.Length > 0 ? $"{text} {parameter.Unit}" : text;

    private static int Show(Desk desk, HostedEffect effect, PluginRunResult done)
    {
        desk.Show(string.Create(CultureInfo.InvariantCulture,
            $"{done.Path}: {done.Channels} channel{(done.Channels == 1 ? "" : "s")}, {(double)done.Frames / done.SampleRateHz:0.000} s through '{effect.Class.Name}' (latency {done.LatencyFrames} frames)"));
        var meters = new JsonObject();
        foreach (var meter in effect.Parameters.Where(p => p.IsReadOnly))
            meters[meter.Title] = effect.TextOf(meter.Id, effect.GetNormalized(meter.Id));
        desk.Show(new JsonObject
        {
            ["file"] = done.Path, ["class"] = effect.Class.Name, ["channels"] = done.Channels, ["frames"] = done.Frames, ["latencyFrames"] = done.LatencyFrames,
            ["meters"] = meters, ["warnings"] = new JsonArray([.. desk.Warnings.Select(w => JsonValue.Create(w))]),
        });
        return done.NonFiniteSamples > 0 ? Desk.NeedsAttention : Desk.Done;
    }

    private static string Text(int number) => number.ToString(CultureInfo.InvariantCulture);

    private static byte[] ReadAll(string path)
    {
        try
        {
            return File.ReadAllBytes(path);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new UnusableInputException("preset-unreadable", $"{path}: cannot be read ({e.Message.TrimEnd('.')})", e);
        }
    }

    private static void WriteAll(string path, byte[] bytes, bool replace)
    {
        using var file = PendingFile.Create(path, replace);
        file.Guard(stream => stream.Write(bytes));
        file.Complete();
    }
}
