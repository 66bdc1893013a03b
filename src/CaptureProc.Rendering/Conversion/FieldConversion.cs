using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Design;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Session;

namespace CaptureProc.Rendering.Conversion;

/// <summary>How an array's A-format becomes a sound field.</summary>
public sealed record FieldConversion
{
    public Correction Correction { get; init; } = Correction.Full;

    public FieldFormat Format { get; init; } = FieldFormat.AmbiX;

    /// <summary>Name of a trim set; null for the session's active one, "none" for the levels as recorded.</summary>
    public string? Trim { get; init; }

    /// <summary>A turn of the whole field, after the mount.</summary>
    public Rotation3D Turn { get; init; } = Rotation3D.Identity;

    /// <summary>One matrix of filters that does all of it: trims, encoder, turn, order and scale of the format.</summary>
    /// <remarks>
    /// Thread: [main]. Shape: inputs in the order of the array's channels. Errors: <see cref="UnusableInputException"/> for a trim set
    /// that is not there or an array that cannot resolve the field.
    /// </remarks>
    public MatrixFilter DesignFilter(SessionDocument session, ArrayEntry array)
    {
        var trimDb = array.TrimDb(Trim);
        var capsules = array.ToCapsuleArray();
        if (ArrayResolution.FindProblem(capsules) is { } problem)
            throw new UnusableInputException("array-unresolvable", $"array '{array.Id}': {problem}");
        var encoder = EncoderDesign.Design(capsules, session.SampleRate, session.Air.SpeedOfSound, Correction);
        var turn = new double[16];
        FieldRotation.Fill(Turn, 1, turn);

        var filter = new MatrixFilter(encoder.Outputs, encoder.Inputs, encoder.TapCount, encoder.LatencyFrames);
        Span<double> sum = new double[encoder.TapCount];
        for (var output = 0; output < filter.Outputs; output++)
        {
            var acn = Format == FieldFormat.FuMa ? FuMaTable.AcnAtPosition(output) : output;
            var scale = Format == FieldFormat.FuMa ? FuMaTable.GainFromSN3D(acn) : 1;
            for (var input = 0; input < filter.Inputs; input++)
            {
                // Summed in double: the null test against the plug-in is about the last bits of a float.
                sum.Clear();
                var gain = scale * Math.Pow(10, trimDb[input] / 20);
                for (var component = 0; component < 4; component++)
                {
                    var weight = gain * turn[acn * 4 + component];
                    var source = encoder.Taps(component, input);
                    for (var n = 0; n < source.Length; n++)
                        sum[n] += weight * source[n];
                }
                var taps = filter.Taps(output, input);
                for (var n = 0; n < taps.Length; n++)
                    taps[n] = (float)sum[n];
            }
        }
        return filter;
    }

    /// <summary>What each channel is in EBU AudioChannelFunction terms, which exist for ACN order alone; empty for FuMa.</summary>
    public static IReadOnlyList<string> ChannelFunctions(FieldFormat format, int order) => format == FieldFormat.FuMa
        ? []
        : [.. Enumerable.Range(0, SphericalHarmonics.ChannelCount(order)).Select(acn => order == 1 ? $"ACN{acn}-FOA" : $"ACN{acn}-HOA{order}")];

    /// <summary>Names of the field's channels, for the file's track list.</summary>
    public static IReadOnlyList<string> ChannelNames(FieldFormat format, int order)
    {
        const string fuMa = "WXYZRSTUVKLMNOPQ";
        var names = new string[SphericalHarmonics.ChannelCount(order)];
        for (var i = 0; i < names.Length; i++)
            names[i] = format == FieldFormat.FuMa ? fuMa[i].ToString() : $"ACN{i}";
        return names;
    }
}
