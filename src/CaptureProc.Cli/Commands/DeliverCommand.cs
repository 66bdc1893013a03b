using System.CommandLine;
using System.Globalization;
using System.Text.Json.Nodes;
using CaptureProc.Cli.Frame;
using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Binaural;
using CaptureProc.Rendering.Delivery;
using CaptureProc.Session;
using CaptureProc.Wav;
using Spectre.Console;

namespace CaptureProc.Cli.Commands;

/// <summary><c>captureproc deliver</c>: loudness and true peak measured and set, written in the containers asked for.</summary>
internal static class DeliverCommand
{
    public const string Name = "deliver";

    private static readonly (string Word, DeliveryContainer Container)[] Containers =
    [
        ("ambix", DeliveryContainer.AmbiX), ("fuma", DeliveryContainer.FuMa), ("bw64", DeliveryContainer.Bw64),
        ("opus", DeliveryContainer.Opus), ("mp4", DeliveryContainer.Mp4), ("mov", DeliveryContainer.Mov),
    ];

    public static Command Create(Desk desk)
    {
        var session = new Argument<string>("SESSION") { Description = "The session file." };
        var mix = new Argument<string>("MIX.wav") { Description = "The sound field: 4, 9 or 16 channels, as 'mix' writes them." };
        var output = new Argument<string>("OUT") { Description = "The file to write; with several --as, what their names begin with." };
        var containers = Values.Texts("--as", "Container; may be given several times. Usually by the name of OUT: .wav is ambix.", string.Join('|', Containers.Select(c => c.Word)));
        var loudness = Values.Number("--loudness", "Integrated loudness to set by gain alone. Usually the level stays as it is.", "LUFS", -70, 0);
        var ceiling = Values.Number("--ceiling", "The most that the true peak may reach, of the rendering and of every channel. Usually -1.", "DBTP", -40, 0);
        var measure = Values.Choice("--measure", "Whose loudness is measured: of a coincident pair, or of headphones.", ListeningWay.Pair, ("pair", ListeningWay.Pair), ("binaural", ListeningWay.Binaural));
        var hrtf = Values.Text("--hrtf", "Head for --measure binaural. Usually the one that comes with the program.", "FILE.sofa");
        var angle = Values.Number("--angle", "Between the microphones of the pair. Usually 90.", "DEG", 0, 360);
        var pattern = Values.Number("--pattern", "Their pattern: 0 figure-eight, 0.5 cardioid, 1 omni. Usually 0.5.", "0..1", 0, 1);
        var from = Values.Choice<FieldFormat?>("--input-format", "Order and scale of MIX.wav; header = FuMa where the file says so, else ambix.", null, ("header", null), ("ambix", FieldFormat.AmbiX), ("fuma", FieldFormat.FuMa)).FormerlyCalled("--from");
        var bits = Values.Choice("--bits", "Samples of WAV files.", SampleFormat.Pcm24, ("16", SampleFormat.Pcm16), ("24", SampleFormat.Pcm24), ("32f", SampleFormat.Float32));
        var picture = Values.Text("--picture", "A film whose picture goes beside the sound in mp4 and mov.", "FILE");
        var bitrate = Values.Number("--bitrate", $"Of Opus, all channels together, in kbit/s. Usually {DeliveryPlan.UsualKbpsPerChannel:0} a channel.", "KBPS", 6, 16 * 256);
        var title = Values.Text("--title", "What the programme is called. Usually the session's title.", "TITLE");
        var replace = GlobalOptions.Replace();

        var command = new Command(Name, "Measures a mix, sets its loudness by gain alone, and writes it for delivery.")
        {
            session, mix, output, containers, loudness, ceiling, measure, hrtf, angle, pattern, from, bits, picture, bitrate, title, replace,
        };
        command.SetAction(parsed =>
        {
            var document = SessionStore.Read(parsed.GetRequiredValue(session));
            var mixPath = parsed.GetRequiredValue(mix);
            var header = ReadHeader(desk, document, mixPath);
            var files = Files(parsed.GetRequiredValue(output), parsed.GetValue(containers)!);
            var rendering = Rendering(header.Order, document.SampleRate, parsed.GetValue(measure), parsed.GetValue(hrtf), parsed.GetValue(angle), parsed.GetValue(pattern));
            return Run(desk, new DeliveryPlan(mixPath, files, rendering)
            {
                Title = parsed.GetValue(title) ?? document.Title ?? Path.GetFileNameWithoutExtension(mixPath),
                MixFormat = parsed.GetValue(from) ?? header.Format,
                TargetLufs = parsed.GetValue(loudness),
                CeilingDbtp = parsed.GetValue(ceiling) ?? DeliveryPlan.UsualCeilingDbtp,
                SampleFormat = parsed.GetValue(bits),
                PicturePath = Picture(parsed.GetValue(picture), files),
                BitrateKbps = parsed.GetValue(bitrate),
                Replace = parsed.GetValue(replace),
            });
        });
        return command;
    }

    private static (int Order, FieldFormat Format) ReadHeader(Desk desk, SessionDocument session, string mixPath)
    {
        using var input = WavInput.Open(mixPath);
        input.RequireSampleRate(session.SampleRate);
        desk.Tell(input);
        return (FieldOrder.Of(input.ChannelCount, mixPath), input.Files[0].IsBFormat ? FieldFormat.FuMa : FieldFormat.AmbiX);
    }

    private static StatedRendering Rendering(int order, int sampleRateHz, ListeningWay way, string? headPath, double? angleDeg, double? pattern)
    {
        if (way == ListeningWay.Pair ? headPath is not null : angleDeg is not null || pattern is not null)
            throw new UnusableInputException("bad-arguments", way == ListeningWay.Pair
                ? "--hrtf has no effect on a pair; add --measure binaural, or leave it out"
                : "--angle and --pattern have no effect on headphones; leave them out, or --measure pair");
        return way == ListeningWay.Pair
            ? StatedRendering.Pair(order, angleDeg ?? StatedRendering.UsualAngleDeg, pattern ?? StatedRendering.UsualPattern)
            : StatedRendering.Binaural(order, sampleRateHz, headPath is null ? DefaultHead.Decoder : HeadFile.Read(headPath));
    }

    private static List<(DeliveryContainer, string)> Files(string output, string[] words)
    {
        if (words.Length == 0)
            return [(DeliveryContainers.ByName(output) ?? throw new UnusableInputException("bad-arguments",
                $"{output}: its name does not say the container; end it in .wav, .opus, .mp4 or .mov, or give --as"), output)];
        var containers = words.Select(Container).Distinct().ToList();
        return containers.Count == 1
            ? [(containers[0], output)]
            : [.. containers.Select(c => (c, output + c.Suffix()))];
    }

    private static DeliveryContainer Container(string word)
    {
        var index = Array.FindIndex(Containers, c => string.Equals(c.Word, word, StringComparison.OrdinalIgnoreCase));
        return index >= 0
            ? Containers[index].Container
            : throw new UnusableInputException("bad-arguments", $"--as is '{word}'; it has to be {string.Join(" or ", Containers.Select(c => c.Word))}");
    }

    private static string? Picture(string? path, List<(DeliveryContainer Container, string)> files)
    {
        if (path is null)
            return null;
        if (!File.Exists(path))
            throw new UnusableInputException("file-missing", $"{path}: there is no such file; give a film for --picture");
        return files.Exists(f => f.Container is DeliveryContainer.Mp4 or DeliveryContainer.Mov)
            ? path
            : throw new UnusableInputException("bad-arguments", "--picture needs a container that holds one; add --as mp4 or --as mov");
    }

    private static int Run(Desk desk, DeliveryPlan plan)
    {
        DeliveryResult result;
        using (var progress = desk.Progress("delivering"))
            result = FieldDelivery.Run(plan, progress);
        var problem = Problem(plan, result);
        if (problem is not null)
            desk.Warn(problem);
        desk.Show(ToJson(plan, result, problem));
        desk.Show(ToTable(result));
        foreach (var (_, path) in plan.Files)
            desk.Show($"written: {path}");
        return problem is null ? Desk.Done : Desk.NeedsAttention;
    }

    private static string? Problem(DeliveryPlan plan, DeliveryResult result)
    {
        if (result.Gain.IsHeldByCeiling)
        {
            var culprit = result.Before.Rendering.TruePeakDbtp >= result.Before.ChannelTruePeakDbtp ? "the rendering" : "a channel of the field";
            return FormattableString.Invariant(
                $"{plan.TargetLufs:0.0} LUFS would need {result.Gain.WantedGainDb:+0.0;-0.0;0.0} dB, but {culprit} would then pass the ceiling of {plan.CeilingDbtp:0.0} dBTP; written with {result.Gain.GainDb:+0.0;-0.0;0.0} dB, at {result.After.Rendering.IntegratedLufs:0.0} LUFS: lower the peaks in the mix, or take a lower target");
        }
        if (plan.TargetLufs is null && result.After.HighestTruePeakDbtp > plan.CeilingDbtp)
            return FormattableString.Invariant(
                $"the true peak reaches {result.After.HighestTruePeakDbtp:+0.0;-0.0;0.0} dBTP, over the ceiling of {plan.CeilingDbtp:0.0}; the level was left as it is: give --loudness to set it");
        return null;
    }

    private static Table ToTable(DeliveryResult result)
    {
        var table = new Table().Border(TableBorder.Simple)
            .AddColumns("", "Integrated", "Range", "Momentary max", "Short-term max", "True peak");
        foreach (var (name, figures) in new[] { ($"as it was, {result.Before.RenderingName}", result.Before.Rendering), ("as written, the same", result.After.Rendering), ("as written, W alone", result.After.W) })
            table.AddRow(Markup.Escape(name), Figure(figures.IntegratedLufs, "LUFS"), Figure(figures.RangeLu, "LU"),
                Figure(figures.MaxMomentaryLufs, "LUFS"), Figure(figures.MaxShortTermLufs, "LUFS"), Figure(figures.TruePeakDbtp, "dBTP"));
        table.AddRow("as written, highest channel", "", "", "", "", Figure(result.After.ChannelTruePeakDbtp, "dBTP"));
        table.Caption(string.Create(CultureInfo.InvariantCulture, $"gain {result.Gain.GainDb:+0.00;-0.00;0.00} dB"));
        return table;
    }

    private static string Figure(double value, string unit) =>
        double.IsFinite(value) ? string.Create(CultureInfo.InvariantCulture, $"{value:0.0} {unit}") : "none";

    private static JsonObject ToJson(DeliveryPlan plan, DeliveryResult result, string? problem)
    {
        var json = Figures(result.After.Rendering);
        json["rendering"] = result.After.RenderingName;
        json["within"] = problem is null;
        json["problem"] = problem;
        json["gainDb"] = Number(result.Gain.GainDb);
        json["targetLufs"] = plan.TargetLufs;
        json["ceilingDbtp"] = plan.CeilingDbtp;
        json["channelTruePeakDbtp"] = Number(result.After.ChannelTruePeakDbtp);
        json["w"] = Figures(result.After.W);
        json["before"] = Figures(result.Before.Rendering);
        json["files"] = new JsonArray([.. plan.Files.Select(f => new JsonObject
        {
            ["file"] = f.Path,
            ["container"] = Array.Find(Containers, c => c.Container == f.Container).Word,
        })]);
        return json;
    }

    private static JsonObject Figures(LoudnessFigures figures) => new()
    {
        ["integratedLufs"] = Number(figures.IntegratedLufs),
        ["rangeLu"] = Number(figures.RangeLu),
        ["maxMomentaryLufs"] = Number(figures.MaxMomentaryLufs),
        ["maxShortTermLufs"] = Number(figures.MaxShortTermLufs),
        ["truePeakDbtp"] = Number(figures.TruePeakDbtp),
    };

    // JSON has no infinity; a programme without a reading says null.
    private static JsonValue? Number(double value) => double.IsFinite(value) ? JsonValue.Create(Math.Round(value, 2)) : null;
}
