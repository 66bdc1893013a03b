using CaptureProc.Testing;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Tests.Commands;

/// <summary>The gain plug-in of the binding's tests, compiled natively.</summary>
public sealed class NativeGain
{
    public string Bundle { get; } = NativeBundle.Build("tests/CaptureProc.Vst3.TestPlugin", "CaptureProc.Vst3.TestPlugin", "BindingGain");
}

/// <summary>The command on a real native bundle: stereo, no latency, gain 0…2, modes plain and inverted.</summary>
public sealed class HostCommandTests(NativeGain gain) : IClassFixture<NativeGain>, IDisposable
{
    private const int Frames = 1000;

    private readonly TemporaryFolder folder = new();

    private string Out => folder.File("out.wav");

    public void Dispose() => folder.Dispose();

    [Fact]
    public void EffectIsRunOverTheFileWithTheParametersThatWereSet()
    {
        var input = Recording(2);
        var result = CommandLine.Run("host", gain.Bundle, input, Out, "--set", "gain=0.25", "--set", "Mode=inverted", "--block", "37");

        Assert.Equal((0, ""), (result.ExitCode, result.Error));
        var (expected, actual) = (Read(input), Read(Out));
        Assert.Equal(2, actual.Length);
        for (var channel = 0; channel < 2; channel++)
            Assert.Equal(expected[channel].Select(x => -0.25f * x), actual[channel]);
    }

    [Fact]
    public void TailGoesOnAsSilenceAfterTheFile()
    {
        Assert.Equal(0, CommandLine.Run("host", gain.Bundle, Recording(2), Out, "--tail", "0.01").ExitCode);

        Assert.Equal(Frames + 480, Read(Out)[0].Length);
        Assert.All(Read(Out)[0][Frames..], sample => Assert.Equal(0f, sample));
    }

    [Fact]
    public void ListNamesTheParametersWithTheirValuesAndRanges()
    {
        var result = CommandLine.Run("host", gain.Bundle, "--list", "--set", "Gain=1.5");

        Assert.Equal(0, result.ExitCode);
        Assert.Matches(@"Gain\s+1\.500\s+0\.000 to 2\.000", result.Out);
        Assert.Matches(@"Mode\s+Plain\s+Plain, Inverted", result.Out);
        Assert.Matches(@"Peak.*shown only", result.Out);

        var json = CommandLine.Run("host", gain.Bundle, "--list", "--json").Json;
        Assert.Equal("Binding Gain", (string?)json["class"]);
        Assert.Equal(4, json["parameters"]!.AsArray().Count);
    }

    [Fact]
    public void MetersAreInTheJsonResult()
    {
        var result = CommandLine.Run("host", gain.Bundle, Recording(2), Out, "--json");

        Assert.Equal(Frames, (int)result.Json["frames"]!);
        Assert.Matches(@"^0\.\d{4}$", (string)result.Json["meters"]!["Peak"]!);
    }

    [Fact]
    public void StateGoesThroughAPresetFile()
    {
        var (input, preset) = (Recording(2), folder.File("half.vstpreset"));
        Assert.Equal(0, CommandLine.Run("host", gain.Bundle, input, Out, "--set", "Gain=0.5", "--save-state", preset).ExitCode);
        Assert.Equal(0, CommandLine.Run("host", gain.Bundle, input, folder.File("again.wav"), "--state", preset).ExitCode);

        Assert.Equal(Read(Out)[0], Read(folder.File("again.wav"))[0]);
        Assert.Equal(Read(input)[1].Select(x => 0.5f * x), Read(Out)[1]);
    }

    [Fact]
    public void NarrowFileIsPlayedWithAWarning()
    {
        var input = Recording(1);
        var result = CommandLine.Run("host", gain.Bundle, input, Out);

        Assert.Equal(0, result.ExitCode);
        Assert.Contains("the others are fed silence", result.Error, StringComparison.Ordinal);
        Assert.Equal(Read(input)[0], Read(Out)[0]);
        Assert.All(Read(Out)[1], sample => Assert.Equal(0f, sample));
    }

    [Theory]
    [InlineData("has no parameter 'Volume'; it has Gain, Mode, Bypass", "--set", "Volume=1")]
    [InlineData("write PARAMETER=VALUE", "--set", "Gain")]
    [InlineData("does not take 'loud'", "--set", "Gain=loud")]
    [InlineData("can only be read", "--set", "Peak=1")]
    [InlineData("has no class 'Delay'; it has Binding Gain", "--class", "Delay")]
    [InlineData("--block is '0'", "--block", "0")]
    [InlineData("cannot be read", "--state", "none.vstpreset")]
    public void WhatCannotBeDoneIsSaidAndNothingIsWritten(string said, params string[] options)
    {
        CommandLine.Refuses(said, ["host", gain.Bundle, Recording(2), Out, .. options]);

        Assert.False(File.Exists(Out));
    }

    [Fact]
    public void WiderFileIsRefused() => CommandLine.Refuses("takes 2", "host", gain.Bundle, Recording(4), Out);

    [Fact]
    public void MissingPlugInIsRefused() => CommandLine.Refuses("There is no plug-in at", "host", folder.File("none.vst3"), Recording(2), Out);

    [Fact]
    public void WithoutFilesTheCommandSaysWhatItNeeds() => CommandLine.Refuses("give IN.wav and OUT.wav", "host", gain.Bundle);

    [Fact]
    public void ExistingOutputIsReplacedOnlyOnRequest()
    {
        File.WriteAllText(Out, "mine");
        CommandLine.Refuses("exists already", "host", gain.Bundle, Recording(2), Out);
        Assert.Equal("mine", File.ReadAllText(Out));
        Assert.Equal(0, CommandLine.Run("host", gain.Bundle, Recording(2), Out, "--replace").ExitCode);
    }

    private string Recording(int channels)
    {
        var path = folder.File($"in{channels}.wav");
        if (File.Exists(path))
            return path;
        var random = new Random(31);
        var samples = Enumerable.Range(0, channels).Select(_ => Enumerable.Range(0, Frames).Select(_ => random.NextSingle() - 0.5f).ToArray()).ToArray();
        using var output = WavOutput.Create(path, new WavOutputFormat(48000, channels, SampleFormat.Float32), replace: false);
        output.Write(samples, 0, Frames);
        output.Complete();
        return path;
    }

    private static float[][] Read(string path)
    {
        using var input = WavInput.Open(path);
        var samples = Enumerable.Range(0, input.ChannelCount).Select(_ => new float[input.FrameCount]).ToArray();
        input.Read(samples, (int)input.FrameCount);
        return samples;
    }
}
