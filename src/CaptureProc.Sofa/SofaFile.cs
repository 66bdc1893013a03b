using CaptureProc.Dsp.Binaural;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Session;

namespace CaptureProc.Sofa;

/// <summary>Reads head-related impulse responses from a SOFA file (AES69, convention SimpleFreeFieldHRIR).</summary>
/// <remarks>
/// Thread: any. Memory: the whole set, a few megabytes.
/// Axes: SOFA has the axes of this project (x front, y left, z up, azimuth to the left), and receiver 0 is the left ear.
/// Distances: a set with several keeps the one with most directions, the farther one of equals.
/// Errors: <see cref="UnusableInputException"/> for a file that is not SOFA, of another convention, or that contradicts itself.
/// Source: AES69, dimension and member names as in the published table SimpleFreeFieldHRIR_1.0.
/// </remarks>
public static class SofaFile
{
    public static HeadResponses Read(string path)
    {
        using var file = HdfFile.Open(path);
        RequireConvention(file);
        var responses = file.Numbers("Data.IR");
        if (responses.Dimensions is not [var measurements, HeadResponses.Ears, var taps] || measurements < 1 || taps < 1)
            throw file.Unusable("has no impulse responses for two ears (Data.IR needs the dimensions M, 2, N)");
        var rates = file.Numbers("Data.SamplingRate").Values;
        if (rates.Any(rate => rate != rates[0]))
            throw file.Unusable("has measurements of different sampling rates; use a set with one");
        if (!(rates[0] is >= 8000 and <= 768000))
            throw file.Unusable($"says that its sampling rate is {rates[0]:0.###} Hz, which cannot be");

        var positions = SourcePositions.Read(file, measurements);
        var delays = Delays(file, measurements);
        var kept = positions.OnOneSphere();
        var (keptTaps, keptDelays) = (new float[kept.Count * HeadResponses.Ears * taps], new double[kept.Count * HeadResponses.Ears]);
        for (var i = 0; i < kept.Count; i++)
        {
            for (var n = 0; n < HeadResponses.Ears * taps; n++)
                keptTaps[i * HeadResponses.Ears * taps + n] = (float)responses.Values[kept[i] * HeadResponses.Ears * taps + n];
            for (var ear = 0; ear < HeadResponses.Ears; ear++)
                keptDelays[i * HeadResponses.Ears + ear] = delays[kept[i] * HeadResponses.Ears + ear];
        }
        if (keptTaps.Any(tap => !float.IsFinite(tap)) || keptDelays.Any(delay => !double.IsFinite(delay)))
            throw file.Unusable("holds a number that is none (NaN or infinity) among its responses");
        if (keptTaps.All(tap => tap == 0))
            throw file.Unusable("holds nothing but silence");
        return new HeadResponses(Name(file, path), file.Text("License") ?? "", rates[0], [.. kept.Select(positions.At)], taps, keptTaps, keptDelays);
    }

    private static void RequireConvention(HdfFile file)
    {
        if (file.Text("Conventions") != "SOFA")
            throw file.Unusable("is an HDF5 file, but not a SOFA file");
        if (file.Text("SOFAConventions") is var convention and not "SimpleFreeFieldHRIR")
            throw file.Unusable($"has the SOFA convention {convention ?? "(none)"}; only SimpleFreeFieldHRIR can be listened through");
        if (file.Text("DataType") is var type and not "FIR")
            throw file.Unusable($"has data of the type {type ?? "(none)"}; impulse responses (FIR) are needed");
    }

    private static string Name(HdfFile file, string path)
    {
        string?[] parts = [file.Text("DatabaseName"), file.Text("ListenerShortName")];
        var known = string.Join(", ", parts.Where(part => !string.IsNullOrWhiteSpace(part)));
        return known.Length > 0 ? known : Path.GetFileNameWithoutExtension(path);
    }

    // One row for all measurements or one for each, in samples.
    private static double[] Delays(HdfFile file, int measurements)
    {
        var delay = file.Numbers("Data.Delay");
        if (delay.Dimensions is not [var rows, HeadResponses.Ears] || (rows != 1 && rows != measurements))
            throw file.Unusable("has delays (Data.Delay) for neither one nor all of its measurements");
        return rows == measurements ? delay.Values : [.. Enumerable.Repeat(delay.Values, measurements).SelectMany(row => row)];
    }
}
