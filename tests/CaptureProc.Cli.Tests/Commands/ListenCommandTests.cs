using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Binaural;
using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Tests.Commands;

public sealed class ListenCommandTests : IDisposable
{
    private const int SampleRateHz = 48_000;
    private const int Frames = 20_000;

    // One step of 24 bits, and the rounding of two convolutions.
    private const double Step = 1.0 / (1 << 22);

    private readonly TemporaryFolder folder = new();
    private readonly string session;

    public ListenCommandTests()
    {
        session = folder.File("session.json");
        Assert.Equal(0, CommandLine.Run("start", session, "--array", "main=1-4", "--spot", "lute=5").ExitCode);
    }

    public void Dispose() => folder.Dispose();

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void BinauralIsTheDecoderSampleLockedToTheField(int order)
    {
        var field = Field(order, new Direction(50, 10), seed: order);
        var json = Listen(field, "--bits", "32f").Json;
        Assert.Equal("binaural", (string)json["as"]!);
        Assert.Equal(order, (int)json["order"]!);
        Assert.Equal(Frames, (int)json["frames"]!);
        Assert.Equal("measured mannequin", (string)json["head"]!["name"]!);

        // The same by plain convolution, with the decoder's latency taken out.
        var filter = DefaultHead.Decoder.Filter(order, SampleRateHz);
        var heard = Read("out.wav");
        for (var frame = 100; frame < Frames; frame += 777)
            for (var ear = 0; ear < 2; ear++)
                Assert.Equal(Convolved(filter, ear, field, frame), heard[ear][frame], 1e-5);
        Assert.Equal(Frames, heard[0].Length);
    }

    [Fact]
    public void FrontIsInTheMiddleAndLeftIsLouderOnTheLeft()
    {
        Listen(Field(1, new Direction(0, 0), seed: 1));
        var front = Read("out.wav");
        for (var n = 0; n < Frames; n++)
            Assert.Equal(front[0][n], front[1][n], Step);

        Listen(Field(1, new Direction(90, 0), seed: 1));
        var left = Read("out.wav");
        Assert.InRange(10 * Math.Log10(Energy(left[0]) / Energy(left[1])), 5, 15);
    }

    [Fact]
    public void TurnOfTheListenerEqualsMotionOfTheSource()
    {
        Listen(Field(2, new Direction(0, 0), seed: 2), "--yaw", "90");
        var turned = Read("out.wav");
        Listen(Field(2, new Direction(-90, 0), seed: 2));
        AssertClose(Read("out.wav"), turned, Step);

        Listen(Field(1, new Direction(30, 0), seed: 2), "--as", "pair", "--pattern", "0", "--yaw", "30", "--roll", "20");
        var pair = Read("out.wav");
        AssertClose([pair[0]], [pair[1]], Step);
    }

    [Fact]
    public void OtherProgramsSeeAStereoFile()
    {
        // The outside reader: ffprobe.
        Listen(Field(1, new Direction(0, 0), seed: 9));
        using var ffprobe = System.Diagnostics.Process.Start(new System.Diagnostics.ProcessStartInfo("ffprobe",
            ["-v", "error", "-show_entries", "stream=channel_layout,sample_rate,duration_ts,bits_per_raw_sample", "-of", "csv=p=0", folder.File("out.wav")]) { RedirectStandardOutput = true })!;
        Assert.Equal($"48000,stereo,{Frames},24", ffprobe.StandardOutput.ReadToEnd().Trim());
    }

    [Fact]
    public void FuMaFieldSoundsLikeItsAmbiXTwin()
    {
        var field = Field(2, new Direction(70, -20), seed: 3);
        Listen(field);
        var ambix = Read("out.wav");
        var fuma = new float[9][];
        for (var position = 0; position < 9; position++)
        {
            var acn = FuMaTable.AcnAtPosition(position);
            fuma[position] = [.. field[acn].Select(x => (float)(x * FuMaTable.GainFromSN3D(acn)))];
        }
        Listen(fuma, "--format", "fuma");
        AssertClose(ambix, Read("out.wav"), 2 * Step);
    }

    [Fact]
    public void PairHearsWhatItsMicrophonesWould()
    {
        var source = new Direction(20, 0);
        var field = Field(1, source, seed: 4);
        var json = Listen(field, "--as", "pair", "--angle", "110", "--pattern", "0.5", "--aim", "10,0", "--gain", "-3").Json;
        Assert.Equal(110, (double)json["pair"]!["angleDeg"]!);
        var heard = Read("out.wav");
        for (var ear = 0; ear < 2; ear++)
        {
            // s(γ) = α + (1−α)·cos γ, axes at 65 and −45 degrees.
            var angleRad = (20 - (ear == 0 ? 65 : -45)) * Math.PI / 180;
            var gain = (0.5 + 0.5 * Math.Cos(angleRad)) * Math.Pow(10, -3.0 / 20);
            for (var n = 0; n < Frames; n++)
                Assert.Equal(gain * field[0][n], heard[ear][n], Step);
        }
    }

    [Fact]
    public void CapsulesAreTheFrontOnesWithTheirTrims()
    {
        SessionStore.Update(session, s => s with
        {
            Arrays = [s.Arrays[0] with { TrimSets = [new TrimSet { Name = "pink", Source = "pink", Db = [1, -2, 0, 0], UncertaintyDb = [0, 0, 0, 0] }], ActiveTrim = "pink" }],
        });
        var take = Noise(5, seed: 5);
        var json = Listen(take, "--as", "capsules").Json;
        Assert.Equal(["FLU", "FRD"], json["capsules"]!.AsArray().Select(c => (string)c!));
        var heard = Read("out.wav");
        for (var n = 0; n < Frames; n++)
        {
            Assert.Equal(take[0][n] * Math.Pow(10, 1.0 / 20), heard[0][n], Step);
            Assert.Equal(take[1][n] * Math.Pow(10, -2.0 / 20), heard[1][n], Step);
        }

        Listen(take, "--as", "capsules", "--capsules", "bru,3", "--trim", "none");
        AssertClose([take[3], take[2]], Read("out.wav"), Step);
    }

    [Fact]
    public void HeadFromAFileIsTheHeadThatIsHeard()
    {
        var decoder = folder.File("own.decoder");
        var made = CommandLine.Run("head", Sofa, decoder, "--notice", session, "--json");
        Assert.Equal(0, made.ExitCode);
        Assert.Equal(710, (int)made.Json["directions"]!);

        var field = Field(1, new Direction(-60, 0), seed: 6);
        Listen(field);
        var usual = Read("out.wav");
        // The file is the one that the head of the program was made of; -80 dB are the rounding of another machine.
        Listen(field, "--hrtf", decoder);
        AssertClose(usual, Read("out.wav"), 1e-4);
        Listen(field, "--hrtf", Sofa);
        AssertClose(usual, Read("out.wav"), 1e-4);
    }

    [Fact]
    public void WhatIsBeyondFullScaleIsSaidAndEndsWithOne()
    {
        var loud = Noise(4, seed: 7);
        foreach (var channel in loud)
            for (var n = 0; n < channel.Length; n++)
                channel[n] *= 8;
        var result = Listen(loud, "--as", "pair");
        Assert.Equal(1, result.ExitCode);
        Assert.True((int)result.Json["clippedSamples"]! > 0);
        Assert.Contains("--gain -", result.Error, StringComparison.Ordinal);

        var peakDbfs = (double)result.Json["peakDbfs"]!;
        var softer = Listen(loud, "--as", "pair", "--gain", (-Math.Ceiling(10 * peakDbfs) / 10).ToString(System.Globalization.CultureInfo.InvariantCulture));
        Assert.Equal(0, softer.ExitCode);
    }

    [Fact]
    public void UnusableArgumentsAreRefusedAndNothingIsWritten()
    {
        var (field, output) = (folder.File("field.wav"), folder.File("none.wav"));
        Write(field, Noise(4, seed: 8));
        Write(folder.File("six.wav"), Noise(6, seed: 8));
        CommandLine.Refuses("a sound field has 4, 9 or 16", "listen", session, folder.File("six.wav"), output);
        CommandLine.Refuses("no such file", "listen", session, field, output, "--hrtf", folder.File("nobody.sofa"));
        CommandLine.Refuses("SOFA file", "listen", session, field, output, "--hrtf", session);
        CommandLine.Refuses("--aim takes", "listen", session, field, output, "--as", "pair", "--aim", "1,2,3");
        CommandLine.Refuses("--angle has no effect", "listen", session, field, output, "--angle", "90");
        CommandLine.Refuses("--yaw has no effect", "listen", session, field, output, "--as", "capsules", "--yaw", "10");
        CommandLine.Refuses("name two capsules", "listen", session, field, output, "--as", "capsules", "--capsules", "FLU");
        CommandLine.Refuses("name two capsules", "listen", session, field, output, "--as", "capsules", "--capsules", "FLU,XYZ");
        CommandLine.Refuses("it has to be a number from 0 to 1", "listen", session, field, output, "--as", "pair", "--pattern", "2");
        CommandLine.Refuses("ends in .decoder", "head", Sofa, folder.File("own.bin"));
        File.WriteAllText(folder.File("broken.decoder"), "CPB");
        CommandLine.Refuses("make it anew with 'captureproc head'", "listen", session, field, output, "--hrtf", folder.File("broken.decoder"));
        Assert.False(File.Exists(output));
    }

    private static string Sofa => Path.Combine(AppContext.BaseDirectory, "measured-mannequin.sofa");

    private CommandLine Listen(float[][] field, params string[] options)
    {
        Write(folder.File("in.wav"), field);
        return CommandLine.Run(["listen", session, folder.File("in.wav"), folder.File("out.wav"), "--replace", "--json", .. options]);
    }

    private static float[][] Noise(int channels, int seed)
    {
        var random = new Random(seed);
        var signal = new float[channels][];
        for (var channel = 0; channel < channels; channel++)
            signal[channel] = [.. Enumerable.Range(0, Frames).Select(_ => 0.2f * (2 * random.NextSingle() - 1))];
        return signal;
    }

    private static float[][] Field(int order, Direction source, int seed)
    {
        var harmonics = new double[(order + 1) * (order + 1)];
        SphericalHarmonics.Evaluate(source, harmonics);
        var noise = Noise(1, seed)[0];
        return [.. harmonics.Select(gain => noise.Select(x => (float)(gain * x)).ToArray())];
    }

    private static double Convolved(MatrixFilter filter, int ear, float[][] field, int frame)
    {
        var sum = 0.0;
        for (var channel = 0; channel < filter.Inputs; channel++)
        {
            var taps = filter.Taps(ear, channel);
            for (var tap = 0; tap < taps.Length; tap++)
                if (frame + filter.LatencyFrames - tap is var n && n >= 0 && n < Frames)
                    sum += (double)taps[tap] * field[channel][n];
        }
        return sum;
    }

    private static void Write(string path, float[][] signal)
    {
        using var output = WavOutput.Create(path, new WavOutputFormat(SampleRateHz, signal.Length, SampleFormat.Float32), replace: true);
        output.Write(signal, 0, signal[0].Length);
        output.Complete();
    }

    private float[][] Read(string name)
    {
        using var input = WavInput.Open(folder.File(name));
        var signal = new float[input.ChannelCount][];
        for (var channel = 0; channel < signal.Length; channel++)
            signal[channel] = new float[input.FrameCount];
        Assert.Equal(2, signal.Length);
        input.Read(signal, (int)input.FrameCount);
        return signal;
    }

    private static double Energy(float[] signal) => signal.Sum(x => (double)x * x);

    private static void AssertClose(float[][] expected, float[][] actual, double tolerance)
    {
        for (var channel = 0; channel < expected.Length; channel++)
            for (var n = 0; n < expected[channel].Length; n++)
                Assert.Equal(expected[channel][n], actual[channel][n], tolerance);
    }
}
