using CaptureProc.Wav;

namespace CaptureProc.Cli.Tests.Commands;

public sealed class SignalCommandTests : IDisposable
{
    private readonly TemporaryFolder folder = new();

    public void Dispose() => folder.Dispose();

    private string At(string name) => folder.File(name);

    [Fact]
    public void PinkNoiseIsWrittenAsAskedFor()
    {
        var path = At("pink.wav");
        var result = CommandLine.Run("signal", "pink", path, "--level", "-14", "--seconds", "2", "--rate", "96000", "--channels", "4", "--crest", "12", "--json");

        Assert.Equal(0, result.ExitCode);
        Assert.InRange((double)result.Json["crestDb"]!, 11, 12);
        Assert.True((double)result.Json["truePeakDbtp"]! <= -1);
        using var input = WavInput.Open(path);
        Assert.Equal((96000, 4, 192000), (input.SampleRateHz, input.ChannelCount, (int)input.FrameCount));
        var planar = Enumerable.Range(0, 4).Select(_ => new float[192000]).ToArray();
        Assert.Equal(192000, input.Read(planar, 192000));
        Assert.Equal(-14, 10 * Math.Log10(2 * planar[0].Average(x => (double)x * x)), 0.001);
        Assert.All(planar, channel => Assert.Equal(planar[0], channel));
    }

    [Fact]
    public void SweepComesWithItsInverse()
    {
        var result = CommandLine.Run("signal", "sweep", At("sweep.wav"), "--seconds", "1");

        Assert.Equal(0, result.ExitCode);
        Assert.Contains("sweep-inverse.wav", result.Out, StringComparison.Ordinal);
        using var inverse = WavInput.Open(At("sweep-inverse.wav"));
        Assert.Equal(48000, inverse.FrameCount);
        CommandLine.Refuses("--replace", "signal", "sweep", At("sweep.wav"), "--seconds", "1");
    }

    [Theory]
    [InlineData("sine")]
    [InlineData("clicks")]
    [InlineData("idents")]
    public void EveryKindSaysWhatItIsAndAsksForCare(string kind)
    {
        var result = CommandLine.Run("signal", kind, At($"{kind}.wav"));
        Assert.Equal(0, result.ExitCode);
        Assert.Contains($"{kind}.wav: ", result.Out, StringComparison.Ordinal);
        Assert.Contains("hearing protection rules", result.Error, StringComparison.Ordinal);
    }

    [Fact]
    public void WhatCannotBeMadeIsRefusedAndNothingIsWritten()
    {
        CommandLine.Refuses("there is no signal 'brown'", "signal", "brown", At("x.wav"));
        CommandLine.Refuses("above -1 dBTP", "signal", "sine", At("x.wav"), "--level", "0");
        CommandLine.Refuses("--crest belongs to 'pink'", "signal", "sine", At("x.wav"), "--crest", "12");
        CommandLine.Refuses("does not fit the rate", "signal", "sine", At("x.wav"), "--frequency", "30000");
        CommandLine.Refuses("whole number", "signal", "pink", At("x.wav"), "--channels", "1.5");
        Assert.False(File.Exists(At("x.wav")));
    }
}
