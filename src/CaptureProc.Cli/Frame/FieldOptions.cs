using System.CommandLine;
using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Design;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Rendering.Conversion;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Frame;

/// <summary>The options of every command that makes a sound field.</summary>
internal sealed class FieldOptions
{
    private readonly Option<string?> array = Values.Text("--array", "The array to convert. Usually the main array, the first of the session.", "ID");
    private readonly Option<string?> trim = Values.Text("--trim", "The trim set of the array, or 'none'. Usually the session's active one.", "SET");

    private readonly Option<FieldFormat> format = Values.Choice("--format", "Order and scale of the channels.", FieldFormat.AmbiX,
        ("ambix", FieldFormat.AmbiX), ("fuma", FieldFormat.FuMa));

    private readonly Option<Correction> correction = Values.Choice("--correction", "What is corrected for the size of the array.", Correction.Full,
        ("none", Correction.None), ("live", Correction.Live), ("full", Correction.Full));

    private readonly Option<SampleFormat> bits = Values.Choice("--bits", "Samples of the output: 24-bit PCM or 32-bit float.", SampleFormat.Pcm24,
        ("24", SampleFormat.Pcm24), ("32f", SampleFormat.Float32));

    private readonly Option<double?> yaw = Values.Number("--yaw", "Turns the field to the left, after the mount.", "DEG", -360, 360);
    private readonly Option<double?> pitch = Values.Number("--pitch", "Turns its front upwards.", "DEG", -360, 360);
    private readonly Option<double?> roll = Values.Number("--roll", "Lifts its left side.", "DEG", -360, 360);
    private readonly Option<bool> replace = GlobalOptions.Replace();

    public void AddTo(Command command)
    {
        foreach (var option in (Option[])[array, trim, format, correction, bits, yaw, pitch, roll, replace])
            command.Options.Add(option);
    }

    public FieldSettings Read(ParseResult parsed) => new()
    {
        ArrayId = parsed.GetValue(array),
        Conversion = new FieldConversion
        {
            Trim = parsed.GetValue(trim),
            Format = parsed.GetValue(format),
            Correction = parsed.GetValue(correction),
            Turn = Rotation3D.FromYawPitchRollDeg(parsed.GetValue(yaw) ?? 0, parsed.GetValue(pitch) ?? 0, parsed.GetValue(roll) ?? 0),
        },
        SampleFormat = parsed.GetValue(bits),
        Replace = parsed.GetValue(replace),
    };

    /// <summary>The words of the choices, for results that say what was done.</summary>
    public static string Word(FieldFormat format) => format == FieldFormat.FuMa ? "fuma" : "ambix";

    public static string Word(Correction correction) => correction switch
    {
        Correction.None => "none",
        Correction.Live => "live",
        _ => "full",
    };

    public static string Word(SampleFormat format) => format == SampleFormat.Float32 ? "32f" : "24";
}
