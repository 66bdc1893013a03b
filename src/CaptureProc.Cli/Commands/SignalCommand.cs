using System.CommandLine;
using System.Globalization;
using System.Text.Json.Nodes;
using CaptureProc.Cli.Frame;
using CaptureProc.Rendering.Signals;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Commands;

/// <summary><c>captureproc signal</c>: writes a test signal.</summary>
internal static class SignalCommand
{
    public const string Name = "signal";

    // A test signal at full level is louder than any music, and lasts.
    private const string Caution =
        "Turn loudspeakers and headphones down before you play it, come up slowly, and follow the hearing protection rules of the place where you work.";

    public static Command Create(Desk desk)
    {
        var kind = new Argument<string>("KIND") { Description = "pink, sine, sweep, clicks or idents." };
        var path = new Argument<string>("OUT.wav") { Description = "The file to write." };
        var level = Values.Number("--level", "Level. Usually -12; for clicks it is the peak.", "DBFS", -120, 0);
        var seconds = Values.Number("--seconds", "Length. Usually 30; sweep 10; idents as long as one call takes.", "S", 0.05, 86400);
        var rate = Values.Number("--rate", "Sample rate. Usually 48000.", "HZ", SessionRules.MinSampleRate, SessionRules.MaxSampleRate);
        var channels = Values.Number("--channels", "Channels; all carry the same, but for idents. Usually 1.", "N", 1, 128);
        var seed = Values.Number("--seed", "For pink: the same seed gives the same noise. Usually 1.", "N", 0, 1e15);
        var crest = Values.Number("--crest", "For pink: bound of the crest factor (true peak over RMS), 6 or more. Usually left to chance, as far as the headroom allows.", "DB", 3, 40);
        var frequency = Values.Number("--frequency", "For sine. Usually 997.", "HZ", 1, 384000);
        var from = Values.Number("--from-hz", "For sweep: where it starts. Usually 20.", "HZ", 1, 384000).FormerlyCalled("--from");
        var to = Values.Number("--to-hz", "For sweep: where it ends. Usually 20000, or what the rate carries.", "HZ", 2, 384000).FormerlyCalled("--to");
        var spacing = Values.Number("--spacing", "For clicks: time between two of them. Usually 1.", "S", 0.05, 3600);
        var bits = Values.Choice("--bits", "Samples of the file.", SampleFormat.Pcm24, ("16", SampleFormat.Pcm16), ("24", SampleFormat.Pcm24), ("32f", SampleFormat.Float32));
        var replace = GlobalOptions.Replace();
        var command = new Command(Name, $"Writes a test signal: noise to line up with, tones, a slate. Levels are RMS with a full-scale sine at 0 dBFS (AES17). {Caution}")
        {
            kind, path, level, seconds, rate, channels, seed, crest, frequency, from, to, spacing, bits, replace,
        };
        command.SetAction(parsed =>
        {
            var order = new SignalOrder(parsed.GetRequiredValue(kind).ToLowerInvariant())
            {
                LevelDbfs = parsed.GetValue(level) ?? -12,
                Seconds = parsed.GetValue(seconds),
                SampleRateHz = Whole(parsed.GetValue(rate) ?? 48000, "--rate"),
                ChannelCount = Whole(parsed.GetValue(channels) ?? 1, "--channels"),
                Seed = parsed.GetValue(seed) ?? 1,
                CrestDb = parsed.GetValue(crest),
                FrequencyHz = parsed.GetValue(frequency),
                FromHz = parsed.GetValue(from),
                ToHz = parsed.GetValue(to),
                SpacingSeconds = parsed.GetValue(spacing),
            };
            return Run(desk, order, parsed.GetRequiredValue(path), parsed.GetValue(bits), parsed.GetValue(replace));
        });
        return command;
    }

    private static int Run(Desk desk, SignalOrder order, string path, SampleFormat format, bool replace)
    {
        var signal = order.Make();
        var inversePath = signal is ExponentialSweep ? Path.ChangeExtension(path, null) + "-inverse.wav" : null;
        // Both or none: the second is refused before the first is written.
        if (inversePath is not null && File.Exists(inversePath) && !replace)
            throw new UnusableInputException("output-exists", $"{inversePath}: exists already; give --replace to write over it");
        SignalFile.Write(signal, path, format, replace);
        if (inversePath is not null)
            SignalFile.WriteInverse((ExponentialSweep)signal, inversePath, format, replace);

        var result = new JsonObject
        {
            ["file"] = path,
            ["kind"] = order.Kind,
            ["levelDbfs"] = order.LevelDbfs,
            ["truePeakDbtp"] = Math.Round(signal.TruePeakDbtp, 3),
            ["seconds"] = signal.FrameCount / (double)signal.SampleRateHz,
            ["sampleRate"] = signal.SampleRateHz,
            ["channels"] = signal.ChannelCount,
        };
        if (signal is PinkNoise pink)
        {
            result["crestDb"] = Math.Round(pink.CrestDb, 3);
            result["periodFrames"] = pink.PeriodFrames;
            result["seed"] = order.Seed;
        }
        if (signal is ExponentialSweep sweep)
        {
            result["inverse"] = inversePath;
            result["inverseDelayFrames"] = sweep.InverseDelayFrames;
            result["roundTripGainDb"] = Math.Round(sweep.RoundTripGainDb, 4);
        }
        if (signal is ClickTrain train)
        {
            result["clicks"] = train.ClickCount;
            result["firstSeconds"] = train.TimeOfClickSeconds(0);
            result["spacingSeconds"] = train.TimeOfClickSeconds(1) - train.TimeOfClickSeconds(0);
        }
        desk.Show(result);
        desk.Show(string.Create(CultureInfo.InvariantCulture,
            $"{path}: {signal.Description}; true peak {signal.TruePeakDbtp:0.0} dBTP, {signal.FrameCount / (double)signal.SampleRateHz:0.###} s, {signal.SampleRateHz} Hz, {signal.ChannelCount} channel{(signal.ChannelCount == 1 ? "" : "s")}"));
        if (inversePath is not null)
            desk.Show($"{inversePath}: its inverse");
        desk.Say(Caution);
        return Desk.Done;
    }

    private static int Whole(double value, string option) => value == Math.Floor(value)
        ? (int)value
        : throw new UnusableInputException("bad-arguments", FormattableString.Invariant($"{option} is {value}; it has to be a whole number"));
}
