using System.Diagnostics;
using CaptureProc.Wav;

namespace CaptureProc.Tests.Shared;

/// <summary>Claps, snaps and wood blocks that people have recorded, from Debian's packages; nothing of them is kept in the project.</summary>
/// <remarks>
/// Source: package <c>hydrogen-drumkits</c> (the kit "Gimme A Hand 1.0", GPL-2, only read here) and package
/// <c>sonic-pi-samples</c> (CC0). sox brings them to one rate and one channel.
/// </remarks>
internal static class RecordedClaps
{
    private const string Kit = "/usr/share/hydrogen/data/drumkits/Gimme A Hand 1.0";
    private const string Samples = "/usr/share/sonic-pi/samples";

    private static readonly string[] Files =
    [
        $"{Kit}/HandClap-Hard.wav", $"{Kit}/HandClap-Hardest.wav", $"{Kit}/HandClap-Med.wav", $"{Kit}/HandClap-Soft.wav",
        $"{Kit}/Fingersnap-Hard.wav", $"{Kit}/Fingersnap-Hardest.wav", $"{Kit}/Fingersnap-Med.wav",
        $"{Kit}/WoodBlock-Hard.wav", $"{Kit}/WoodBlock-Hardest.wav", $"{Kit}/Clave-Hard.wav",
        $"{Samples}/perc_snap.flac", $"{Samples}/perc_snap2.flac",
    ];

    public static IReadOnlyList<RecordedClap> All(int sampleRateHz) => [.. Files.Select(f => Read(f, sampleRateHz))];

    /// <summary>One sound file as a clap: from a millisecond ahead of its onset, at most a third of a second, peak 1.</summary>
    public static RecordedClap Read(string path, int sampleRateHz)
    {
        var temporary = Path.Combine(Path.GetTempPath(), $"clap-{Guid.NewGuid():N}.wav");
        try
        {
            var start = new ProcessStartInfo("sox") { RedirectStandardError = true };
            foreach (var word in (string[])["-v", "0.5", path, "-b", "32", "-e", "float", "-r", $"{sampleRateHz}", "-c", "1", temporary])
                start.ArgumentList.Add(word);
            using var sox = Process.Start(start)!;
            var said = sox.StandardError.ReadToEnd();
            sox.WaitForExit();
            if (sox.ExitCode != 0)
                throw new InvalidOperationException($"sox does not read {path}: {said}");
            using var wav = WavInput.Open(temporary);
            var planar = new float[wav.FrameCount];
            wav.Read([planar], planar.Length);
            return new RecordedClap(Path.GetFileNameWithoutExtension(path), Cut(planar, sampleRateHz));
        }
        finally
        {
            File.Delete(temporary);
        }
    }

    private static float[] Cut(float[] recorded, int sampleRateHz)
    {
        var peak = recorded.Max(Math.Abs);
        var onset = Array.FindIndex(recorded, x => Math.Abs(x) > 0.03 * peak);
        var first = Math.Max(0, onset - sampleRateHz / 1000);
        var cut = recorded.AsSpan(first, Math.Min(recorded.Length - first, sampleRateHz / 3)).ToArray();
        var fade = cut.Length / 3;
        for (var n = 0; n < cut.Length; n++)
            cut[n] = (float)(cut[n] / peak * Math.Min(1, (cut.Length - n) / (double)fade));
        return cut;
    }
}

/// <summary>A clap as samples, peak 1; it begins a millisecond after the first of them.</summary>
internal sealed record RecordedClap(string Name, float[] Samples);
