using CaptureProc.Wav;

namespace CaptureProc.Cli.Tests.Commands;

public sealed class RenderingCommandTests : IDisposable
{
    private readonly Concert concert = new();

    public void Dispose() => concert.Dispose();

    [Fact]
    public void ConvertSaysWhatItMade()
    {
        var result = CommandLine.Run("convert", concert.Session, concert.Take, concert.Out);

        Assert.Equal((0, ""), (result.ExitCode, result.Error));
        Assert.Equal($"{concert.Out}: array 'main', 0.250 s at 48000 Hz, ambix, correction full, trim none\n", result.Out);
        using var output = WavFile.Open(concert.Out);
        Assert.Equal((4, 12000L, SampleFormat.Pcm24), (output.ChannelCount, output.FrameCount, output.SampleFormat));
    }

    [Fact]
    public void ConvertTakesItsOptions()
    {
        var json = CommandLine.Run("convert", concert.Session, concert.Take, concert.Out, "--json", "--array", "main", "--trim", "none",
            "--format", "fuma", "--correction", "live", "--bits", "32f", "--yaw", "-30", "--pitch", "10.5", "--roll", "180").Json;

        Assert.Equal(("main", "fuma", "live", "32f"), ((string?)json["array"], (string?)json["format"], (string?)json["correction"], (string?)json["bits"]));
        Assert.Equal((48000, 12000), ((int)json["sampleRate"]!, (int)json["frames"]!));
        using var output = WavFile.Open(concert.Out);
        Assert.Equal(SampleFormat.Float32, output.SampleFormat);
        Assert.Equal(["W", "X", "Y", "Z"], output.ChannelNames);
    }

    [Fact]
    public void FindingsEndWithOneAndAreSaid()
    {
        var quiet = Concert.Noise();
        quiet[2].AsSpan().Clear();
        Concert.WriteTake(concert.Take, quiet);

        var result = CommandLine.Run("convert", concert.Session, concert.Take, concert.Out, "--json");

        Assert.Equal(1, result.ExitCode);
        Assert.Contains("capsule BLD", (string?)result.Json["warnings"]![0], StringComparison.Ordinal);
        Assert.Contains("warning: ", result.Error, StringComparison.Ordinal);
        Assert.True(File.Exists(concert.Out));
    }

    [Fact]
    public void AlignWritesArrayAndSpotsOfOneLength()
    {
        var result = CommandLine.Run("align", concert.Session, concert.Take, concert.File("aligned"), "--place", "--order", "2");

        Assert.Equal((0, ""), (result.ExitCode, result.Error));
        Assert.Contains("120.250", result.Out, StringComparison.Ordinal);
        Assert.Contains("inverted", result.Out, StringComparison.Ordinal);
        foreach (var (name, channels) in new[] { ("main", 4), ("harp", 1), ("harp-placed", 9) })
        {
            using var file = WavFile.Open(Path.Combine(concert.File("aligned"), $"{name}.wav"));
            Assert.Equal((channels, 12000L), (file.ChannelCount, file.FrameCount));
        }
    }

    [Fact]
    public void AlignSaysByHowMuchTheArrayIsHeldBack()
    {
        var text = CommandLine.Run("align", concert.Session, concert.Take, concert.File("aligned"), "--later", "-5");
        var json = CommandLine.Run("align", concert.Session, concert.Take, concert.File("aligned"), "--later", "-5", "--replace", "--json").Json;

        Assert.Contains("held back by 120 samples (2.500 ms)", text.Out, StringComparison.Ordinal);
        Assert.Equal((120, 2.5), ((int)json["heldBackSamples"]!, (double)json["heldBackMs"]!));
        Assert.Equal(0.25, (double)json["spots"]![0]!["appliedSamples"]!, 1e-9);
        Assert.Equal(-1, (int)json["spots"]![0]!["polarity"]!);
    }

    [Fact]
    public void SpotWithoutDelayIsSaidAndEndsWithOne()
    {
        concert.Edit(s => s with { Spots = [s.Spots[0] with { Delay = null, Note = "the click was clipped" }] });

        var align = CommandLine.Run("align", concert.Session, concert.Take, concert.File("aligned"));
        var mix = CommandLine.Run("mix", concert.Session, concert.Take, concert.Out, "--json");

        Assert.Equal((1, 1), (align.ExitCode, mix.ExitCode));
        Assert.Contains("not aligned", align.Out, StringComparison.Ordinal);
        Assert.Contains("spot 'harp' has no delay (the click was clipped)", align.Error, StringComparison.Ordinal);
        Assert.Contains("left out of the mix", mix.Error, StringComparison.Ordinal);
        Assert.False((bool)mix.Json["spots"]![0]!["mixed"]!);
    }

    [Fact]
    public void MixTakesGainsForAllForOneAndFromTheSession()
    {
        double Gain(params string[] options) =>
            (double)CommandLine.Run(["mix", concert.Session, concert.Take, concert.Out, "--replace", "--json", .. options]).Json["spots"]![0]!["gainDb"]!;

        Assert.Equal(-4, Gain());
        Assert.Equal(0, Gain("--gain", "0"));
        Assert.Equal(-6, Gain("--gain", "-6"));
        Assert.Equal(-3, Gain("--gain", "-6", "--gain", "HARP=-3"));
        Assert.Equal(-4, Gain("--gain", "session"));
    }

    [Fact]
    public void MixSaysTheGainsItTookAndWarnsOfASpotThatHasNone()
    {
        Assert.Contains("as measured", CommandLine.Run("mix", concert.Session, concert.Take, concert.Out).Out, StringComparison.Ordinal);
        concert.Edit(s => s with { Spots = [s.Spots[0] with { GainDb = null }] });

        var bare = CommandLine.Run("mix", concert.Session, concert.Take, concert.Out, "--replace");
        Assert.Equal(1, bare.ExitCode);
        Assert.Contains("--gain harp=DB", bare.Error, StringComparison.Ordinal);
        Assert.Equal(0, CommandLine.Run("mix", concert.Session, concert.Take, concert.Out, "--replace", "--gain", "harp=-3").ExitCode);
    }

    [Fact]
    public void MixHasTheOrderThatIsAskedFor()
    {
        var result = CommandLine.Run("mix", concert.Session, concert.Take, concert.Out, "--order", "3");

        Assert.Equal(0, result.ExitCode);
        Assert.Contains("1 of 1 spots", result.Out, StringComparison.Ordinal);
        using var output = WavFile.Open(concert.Out);
        Assert.Equal(16, output.ChannelCount);
    }

    [Theory]
    [InlineData("convert")]
    [InlineData("mix")]
    [InlineData("align")]
    public void ExistingOutputIsReplacedOnlyOnRequest(string command)
    {
        var target = command == "align" ? concert.File("aligned") : concert.Out;
        Assert.Equal(0, CommandLine.Run(command, concert.Session, concert.Take, target).ExitCode);

        CommandLine.Refuses("exists already", command, concert.Session, concert.Take, target);
        Assert.Equal(0, CommandLine.Run(command, concert.Session, concert.Take, target, "--replace").ExitCode);
    }

    [Theory]
    [InlineData("--format", "quad")]
    [InlineData("--correction", "some")]
    [InlineData("--bits", "16")]
    [InlineData("--yaw", "left")]
    [InlineData("--yaw", "NaN")]
    [InlineData("--array", "other")]
    [InlineData("--trim", "other")]
    public void OptionsWithUnusableValuesAreRefused(string option, string value)
    {
        CommandLine.Refuses(value, "convert", concert.Session, concert.Take, concert.Out, option, value);
        Assert.Empty(concert.Files);
    }

    [Theory]
    [InlineData("--order", "4")]
    [InlineData("--later", "soon")]
    [InlineData("--gain", "loud")]
    [InlineData("--gain", "oboe=3")]
    public void MixOptionsWithUnusableValuesAreRefused(string option, string value)
    {
        CommandLine.Refuses(value.Split('=')[0], "mix", concert.Session, concert.Take, concert.Out, option, value);
        Assert.Empty(concert.Files);
    }

    [Theory]
    [InlineData("convert", "OUT.wav")]
    [InlineData("align", "OUTDIR")]
    [InlineData("mix", "OUT.wav")]
    public void MissingOutputIsSaid(string command, string word) =>
        CommandLine.Refuses($"SESSION TAKE.wav {word}", command, concert.Session, concert.Take);
}
