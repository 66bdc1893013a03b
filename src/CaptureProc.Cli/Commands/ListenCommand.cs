using System.CommandLine;
using System.Globalization;
using System.Text.Json.Nodes;
using CaptureProc.Cli.Frame;
using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Dsp.Listening;
using CaptureProc.Rendering.Listening;
using CaptureProc.Rendering.Streaming;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Commands;

/// <summary><c>captureproc listen</c>: stereo for headphones or loudspeakers, of a sound field or straight of two capsules.</summary>
internal static class ListenCommand
{
    public const string Name = "listen";

    public static Command Create(Desk desk)
    {
        var session = new Argument<string>("SESSION") { Description = "The session file." };
        var files = new Argument<string[]>("BFORMAT.wav OUT.wav")
        {
            Description = "The sound field (4, 9 or 16 channels; for --as capsules the take), then the stereo file to write.",
            Arity = new ArgumentArity(2, 1000),
        };
        var way = Values.Choice("--as", "What to make: headphones, a coincident pair, or two capsules of the array.", ListeningWay.Binaural,
            ("binaural", ListeningWay.Binaural), ("pair", ListeningWay.Pair), ("capsules", ListeningWay.Capsules));
        var hrtf = Values.Text("--hrtf", "Head to listen through. Usually the one that comes with the program.", "FILE.sofa");
        var yaw = Turn("--yaw", "The listener turns to the left.");
        var pitch = Turn("--pitch", "The listener looks up.");
        var roll = Turn("--roll", "The listener's left side is raised.");
        var angle = Values.Number("--angle", "Between the microphones of the pair. Usually 90.", "DEGREES", 0, 360);
        var pattern = Values.Number("--pattern", "Of the pair: 0 figure-eight, 0.5 cardioid, 1 omni. Usually 0.5.", "PATTERN", 0, 1);
        var aim = Values.Numbers("--aim", "Where the middle of the pair looks. Usually 0,0.", "AZIMUTH[,ELEVATION]", -360, 360);
        var array = Values.Text("--array", "Whose capsules; usually the main array's.", "ID");
        var capsules = Values.Text("--capsules", "Which capsules. Usually the two that look to the front left and right.", "LEFT,RIGHT");
        var trim = Values.Text("--trim", "Trim set for the capsules, or none. Usually the active one.", "SET");
        var format = Values.Choice("--input-format", "Order and scale of the field's channels.", FieldFormat.AmbiX, ("ambix", FieldFormat.AmbiX), ("fuma", FieldFormat.FuMa)).FormerlyCalled("--format");
        var bits = Values.Choice("--bits", "Of the stereo file.", SampleFormat.Pcm24, ("16", SampleFormat.Pcm16), ("24", SampleFormat.Pcm24), ("32f", SampleFormat.Float32));
        var gain = Values.Number("--gain", "Added to both channels. Usually 0.", "DB", -60, 60);
        var ignoreStamps = GlobalOptions.IgnoreStamps();
        var replace = GlobalOptions.Replace();

        var command = new Command(Name, "Makes stereo of a sound field: binaural, a coincident pair, or two capsules.")
        {
            session, files, way, hrtf, yaw, pitch, roll, angle, pattern, aim, array, capsules, trim, format, bits, gain, ignoreStamps, replace,
        };
        command.SetAction(parsed =>
        {
            var listening = new ListeningPlan
            {
                Session = SessionStore.Read(parsed.GetRequiredValue(session)),
                Way = parsed.GetValue(way),
                HeadPath = parsed.GetValue(hrtf),
                ListenerTurn = Rotation3D.FromYawPitchRollDeg(parsed.GetValue(yaw) ?? 0, parsed.GetValue(pitch) ?? 0, parsed.GetValue(roll) ?? 0),
                Pair = new CoincidentPair(parsed.GetValue(angle) ?? 90, parsed.GetValue(pattern) ?? 0.5, Aim(parsed.GetValue(aim))),
                ArrayId = parsed.GetValue(array),
                Capsules = parsed.GetValue(capsules),
                Trim = parsed.GetValue(trim),
                Format = parsed.GetValue(format),
                GainDb = parsed.GetValue(gain) ?? 0,
            };
            foreach (var option in listening.Idle(parsed.CommandResult.Children.OfType<System.CommandLine.Parsing.OptionResult>()
                         .Where(o => !o.Implicit).Select(o => o.Option.Name)))
                throw new UnusableInputException("bad-arguments", $"{option} has no effect on this way of listening; leave it out or choose another --as");
            var names = parsed.GetRequiredValue(files);
            return Run(desk, listening, new TakeFiles(names[..^1], parsed.GetValue(ignoreStamps)), names[^1], parsed.GetValue(bits), parsed.GetValue(replace));
        });
        return command;
    }

    private static int Run(Desk desk, ListeningPlan plan, TakeFiles inputs, string outputPath, SampleFormat sampleFormat, bool replace)
    {
        using var input = WavInput.Open(inputs);
        input.RequireSampleRate(plan.Session.SampleRate);
        desk.Tell(input);
        PendingFile.RequireOther(outputPath, inputs.Paths);
        var run = plan.Build(input);
        using var output = WavOutput.Create(outputPath, new WavOutputFormat(input.SampleRateHz, 2, sampleFormat)
        {
            ChannelNames = ["L", "R"],
            ChannelMask = 0b11,
            MetadataFrom = input.Files[0],
            TimeReferenceFrames = input.TimeReferenceFrames,
        }, replace);
        using (var progress = desk.Progress("listening"))
            Conveyor.Run(input, run.Renderer, [output], progress);
        output.Complete();

        if (output.ClippedSamples > 0)
            desk.Warn(string.Create(CultureInfo.InvariantCulture,
                $"{outputPath}: {output.ClippedSamples} samples are beyond full scale (peak {run.Renderer.PeakDbfs:+0.0} dBFS) and were cut; run again with --gain {-Math.Ceiling(10 * run.Renderer.PeakDbfs) / 10:0.0} --replace"));
        Report(desk, input, output, run);
        return output.ClippedSamples > 0 ? Desk.NeedsAttention : Desk.Done;
    }

    private static void Report(Desk desk, WavInput input, WavOutput output, ListeningRun run)
    {
        var seconds = (double)input.FrameCount / input.SampleRateHz;
        var peakDbfs = run.Renderer.PeakDbfs;
        desk.Show(string.Create(CultureInfo.InvariantCulture, $"{output.Path}: {run.Text}, {seconds:0.0} s, peak {peakDbfs:0.0} dBFS"));
        var about = run.About;
        about["file"] = output.Path;
        about["sampleRate"] = input.SampleRateHz;
        about["frames"] = input.FrameCount;
        about["seconds"] = seconds;
        about["peakDbfs"] = double.IsFinite(peakDbfs) ? peakDbfs : null;
        about["clippedSamples"] = output.ClippedSamples;
        about["warnings"] = desk.WarningsAsJson();
        desk.Show(about);
    }

    private static Option<double?> Turn(string name, string help) => Values.Number(name, help, "DEGREES", -360, 360);

    private static Direction Aim(double[]? numbers) => numbers switch
    {
        null or [] => new Direction(0, 0),
        [var azimuth] => new Direction(azimuth, 0),
        [var azimuth, var elevation] when elevation is >= -90 and <= 90 => new Direction(azimuth, elevation),
        _ => throw new UnusableInputException("bad-arguments", "--aim takes an azimuth, or an azimuth and an elevation from -90 to 90, as in --aim 30,10"),
    };
}
