using System.Diagnostics;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Tests.Commands;

public sealed class DeliverCommandTests : IDisposable
{
    private readonly TemporaryFolder folder = new();
    private readonly string session, mix;

    public DeliverCommandTests()
    {
        session = folder.File("s.json");
        mix = folder.File("mix.wav");
        SessionStore.Create(session, new SessionDocument { Title = "Two lanterns", SampleRate = 48_000, Arrays = [], Spots = [] });
        WriteTone(mix, 48_000, 4, 0.1);
    }

    public void Dispose() => folder.Dispose();

    [Fact]
    public void LoudnessIsSetAndSaidForPeopleAndPrograms()
    {
        var output = folder.File("out.wav");
        var json = CommandLine.Run("deliver", session, mix, output, "--loudness", "-23", "--json").Json;

        Assert.Equal(-23.0, (double)json["integratedLufs"]!, 0.02);
        Assert.Equal(0.0, (double)json["rangeLu"]!, 0.1);
        Assert.True((double)json["truePeakDbtp"]! < -1);
        Assert.True((bool)json["within"]!);
        Assert.Contains("pair", (string)json["rendering"]!, StringComparison.Ordinal);
        Assert.Equal(output, (string)json["files"]![0]!["file"]!);
        Assert.NotNull(json["w"]!["integratedLufs"]);

        var words = CommandLine.Run("deliver", session, mix, output, "--loudness", "-23", "--replace");
        Assert.Equal(0, words.ExitCode);
        Assert.Contains("-23.0 LUFS", words.Out, StringComparison.Ordinal);
        Assert.Contains("90° apart", words.Out, StringComparison.Ordinal);
    }

    [Fact]
    public void HeadphonesCanBeWhatIsMeasured()
    {
        var json = CommandLine.Run("deliver", session, mix, folder.File("out.wav"), "--measure", "binaural", "--loudness", "-23", "--json").Json;
        Assert.StartsWith("binaural, head ", (string)json["rendering"]!, StringComparison.Ordinal);
        Assert.Equal(-23.0, (double)json["integratedLufs"]!, 0.02);
    }

    [Fact]
    public void TargetOverTheCeilingEndsWithOneAndSaysBy()
    {
        var result = CommandLine.Run("deliver", session, mix, folder.File("out.wav"), "--loudness", "0", "--ceiling", "-3", "--json");
        Assert.Equal(1, result.ExitCode);
        Assert.False((bool)result.Json["within"]!);
        Assert.Contains("ceiling of -3.0 dBTP", (string)result.Json["problem"]!, StringComparison.Ordinal);
        Assert.True(File.Exists(folder.File("out.wav")));
    }

    [Fact]
    public void SeveralContainersShareOneStem()
    {
        var result = CommandLine.Run("deliver", session, mix, folder.File("piece"), "--as", "ambix", "--as", "fuma", "--as", "bw64");
        Assert.Equal(0, result.ExitCode);
        Assert.All(["piece.ambix.wav", "piece.fuma.wav", "piece.bw64.wav"], name => Assert.True(File.Exists(folder.File(name)), name));
    }

    [Fact]
    public void UnusableArgumentsAreRefused()
    {
        CommandLine.Refuses("does not say the container", "deliver", session, mix, folder.File("out.xyz"));
        CommandLine.Refuses("--as is 'cube'", "deliver", session, mix, folder.File("out"), "--as", "cube");
        CommandLine.Refuses("--picture needs a container", "deliver", session, mix, folder.File("out.wav"), "--picture", mix);
        CommandLine.Refuses("there is no such file", "deliver", session, mix, folder.File("out.mp4"), "--picture", folder.File("none.mov"));
        CommandLine.Refuses("there is no such file", "deliver", session, folder.File("none.wav"), folder.File("out.wav"));
        CommandLine.Refuses("is the file that is read", "deliver", session, mix, mix);
        CommandLine.Refuses("no effect on a pair", "deliver", session, mix, folder.File("out.wav"), "--hrtf", "head.sofa");
        CommandLine.Refuses("no effect on headphones", "deliver", session, mix, folder.File("out.wav"), "--measure", "binaural", "--angle", "100");
    }

    [Fact]
    public void MixAtAnotherRateOrWithOtherChannelsIsRefused()
    {
        WriteTone(folder.File("rate.wav"), 44_100, 4, 0.1);
        WriteTone(folder.File("five.wav"), 48_000, 5, 0.1);
        CommandLine.Refuses("48000 Hz", "deliver", session, folder.File("rate.wav"), folder.File("out.wav"));
        CommandLine.Refuses("has 5 channels", "deliver", session, folder.File("five.wav"), folder.File("out.wav"));
    }

    [Fact]
    public void MissingEncoderIsNamedWithAWayOut()
    {
        // A process of its own, so that its empty PATH is nobody else's.
        var start = new ProcessStartInfo(Environment.ProcessPath!.EndsWith("dotnet", StringComparison.Ordinal) ? Environment.ProcessPath! : "dotnet",
            ["exec", typeof(CommandLineProgram).Assembly.Location, "deliver", session, mix, folder.File("out.opus")])
        { RedirectStandardError = true, RedirectStandardOutput = true };
        start.Environment["PATH"] = folder.Path;
        using var process = Process.Start(start)!;
        var error = process.StandardError.ReadToEnd();
        process.WaitForExit();
        Assert.Equal(2, process.ExitCode);
        Assert.Contains("neither ffmpeg nor opusenc is installed", error, StringComparison.Ordinal);
        Assert.Contains("--as ambix", error, StringComparison.Ordinal);
        Assert.Empty(Directory.EnumerateFileSystemEntries(folder.Path, "*out*"));
    }

    private static void WriteTone(string path, int rateHz, int channels, double amplitude)
    {
        var tone = new float[3 * rateHz];
        for (var i = 0; i < tone.Length; i++)
            tone[i] = (float)(amplitude * Math.Sin(2 * Math.PI * 500 * i / rateHz));
        var field = new float[channels][];
        Array.Fill(field, tone);
        using var output = WavOutput.Create(path, new WavOutputFormat(rateHz, channels, SampleFormat.Pcm24), replace: false);
        output.Write(field, 0, tone.Length);
        output.Complete();
    }
}
