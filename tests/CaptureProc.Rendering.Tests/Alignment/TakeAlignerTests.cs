using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Design;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Rendering.Alignment;
using CaptureProc.Rendering.Conversion;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Rendering.Tests.Alignment;

public sealed class TakeAlignerTests : IDisposable
{
    private const int Frames = 30011;

    private readonly Takes takes = new();

    public void Dispose() => takes.Dispose();

    [Theory]
    [InlineData(812.37, 1)]
    [InlineData(0.5, -1)]
    [InlineData(20000.25, 1)]
    [InlineData(3, 1)]
    [InlineData(-41.6, -1)]
    public void SpotIsTheExactShiftOfABandLimitedSignal(double delaySamples, int polarity)
    {
        var take = takes.Write("take.wav", [.. Takes.Noise(4, Frames, seed: 1), Tones(0)]);
        var result = Align(Takes.Session(Takes.Spot("harp", delaySamples, 5) with { Polarity = polarity }), take);

        var heldBack = delaySamples < 0 ? (int)Math.Ceiling(-delaySamples) : 0;
        Assert.Equal(heldBack, result.Plan.HeldBackFrames);
        var aligned = Takes.Read(result.Spots[0].File)[0];
        var expected = Tones(delaySamples + heldBack);
        Assert.Equal(Frames, aligned.Length);
        // Within ±0.01 dB and 0.001 samples up to 0.9 of the Nyquist frequency: 0.0012 + π·0.9·0.001 of the amplitude of each tone,
        // and the tones' amplitudes add up to 0.9. The ends are left out, where the take's beginning cuts the tones off.
        for (var n = (int)Math.Ceiling(delaySamples + heldBack) + 40; n < Frames - 40; n++)
            Assert.True(Math.Abs(expected[n] * polarity - aligned[n]) < 0.9 * 0.004, $"frame {n}: {expected[n] * polarity} {aligned[n]}");
    }

    [Fact]
    public void ArrayIsTheConversionHeldBackByWholeFrames()
    {
        var noise = Takes.Noise(5, Frames, seed: 2);
        var take = takes.Write("take.wav", noise);
        var session = Takes.Session(Takes.Spot("harp", -41.6, 5));

        var held = Takes.Read(Align(session, take).ArrayFile);
        TakeConverter.Convert(session, [take], takes.File("plain.wav"), new FieldSettings { SampleFormat = SampleFormat.Float32 });
        var plain = Takes.Read(takes.File("plain.wav"));

        for (var c = 0; c < 4; c++)
            for (var n = 42; n < Frames; n++)
                Assert.Equal(plain[c][n - 42], held[c][n], 1e-6f);
    }

    [Fact]
    public void WaveThatArrayAndSpotHearMeetsInBothFilesSampleBySample()
    {
        // A plane wave, closed form: capsule i of pattern α hears (α + (1−α)·u·v)·p(t + r·u·v/c), u its aim and v where the wave comes
        // from. The pulse passes the array's centre at frame 9000 and the spot 300.4 samples before.
        static double Pulse(double n) => 0.5 * Math.Exp(-n * n / (2 * 20 * 20));
        var session = Takes.Session(Takes.Spot("harp", 300.4, 5));
        var capsules = session.Arrays[0].ToCapsuleArray();
        var from = new Direction(50, 20).ToUnitVector();
        var planar = Enumerable.Range(0, 5).Select(_ => new float[Frames]).ToArray();
        for (var n = 0; n < Frames; n++)
        {
            foreach (var (i, look) in capsules.LookDirections().Index())
            {
                var towards = Vector3D.Dot(look, from);
                var earlySamples = capsules.RadiusM * towards / session.Air.SpeedOfSound * Takes.SampleRateHz;
                planar[i][n] = (float)((capsules.Pattern + (1 - capsules.Pattern) * towards) * Pulse(n - 9000 + earlySamples));
            }
            planar[4][n] = (float)Pulse(n - 9000 + 300.4);
        }

        var result = Align(session, takes.Write("take.wav", planar));

        // The pulse ends near 1 kHz, up to where the best encoder's W is wrong by 0.4 % at most (the limit of four capsules). Its
        // steepest slope is 0.015 a sample, so 0.001 is also the value of 0.07 of a sample.
        var (w, spot) = (Takes.Read(result.ArrayFile)[0], Takes.Read(result.Spots[0].File)[0]);
        for (var n = 0; n < Frames; n++)
        {
            Assert.Equal(Pulse(n - 9000), spot[n], 1e-4);
            Assert.Equal(spot[n], w[n], 0.001f);
        }
    }

    [Theory]
    [InlineData(1, FieldFormat.AmbiX)]
    [InlineData(2, FieldFormat.AmbiX)]
    [InlineData(3, FieldFormat.AmbiX)]
    [InlineData(1, FieldFormat.FuMa)]
    [InlineData(3, FieldFormat.FuMa)]
    public void PlacedSpotIsAPlaneWaveFromItsDirection(int order, FieldFormat format)
    {
        var take = takes.Write("take.wav", Takes.Noise(5, 3000, seed: 3));
        var turn = Rotation3D.FromYawPitchRollDeg(-25, 0, 0);
        var result = Align(Takes.Session(Takes.Spot("harp", 10.3, 5)), take, new AlignmentSettings
        {
            Place = true, Order = order,
            Field = new FieldSettings { SampleFormat = SampleFormat.Float32, Conversion = new FieldConversion { Format = format, Turn = turn } },
        });

        var aligned = Takes.Read(result.Spots[0].File)[0];
        var placed = Takes.Read(result.Spots[0].PlacedFile!);
        Assert.Equal((order + 1) * (order + 1), placed.Length);
        // Azimuth 40° turned by −25° stands at 15°: only the yaw turns, so the elevation stays.
        var harmonics = new double[placed.Length];
        SphericalHarmonics.Evaluate(new Direction(15, -10), harmonics);
        for (var c = 0; c < placed.Length; c++)
        {
            var acn = format == FieldFormat.FuMa ? FuMaTable.AcnAtPosition(c) : c;
            var gain = harmonics[acn] * (format == FieldFormat.FuMa ? FuMaTable.GainFromSN3D(acn) : 1);
            for (var n = 0; n < 3000; n++)
                Assert.Equal(gain * aligned[n], placed[c][n], 1e-6);
        }
    }

    [Fact]
    public void SpotWithFourChannelsIsConvertedByItsOwnArrayInTheRoomsFrame()
    {
        // Built and mounted differently from the main array; a whole number of samples, so that the conversion alone is the measure.
        var take = takes.Write("take.wav", Takes.Noise(8, Frames, seed: 4));
        var own = Takes.Array("north", 5, 6, 7, 8) with { RadiusMm = 25, Mount = new MountEntry { YawDeg = 70 } };
        var session = Takes.Session(Takes.Spot("organ", 111, 5, 6, 7, 8) with { ArrayId = "north", Polarity = -1 });
        session = session with { Arrays = [.. session.Arrays, own] };

        var result = Align(session, take, new AlignmentSettings { Place = true, Order = 2, Field = new FieldSettings { SampleFormat = SampleFormat.Float32 } });
        TakeConverter.Convert(session, [take], takes.File("plain.wav"), new FieldSettings { ArrayId = "north", SampleFormat = SampleFormat.Float32 });

        var (aligned, placed, plain) = (Takes.Read(result.Spots[0].File), Takes.Read(result.Spots[0].PlacedFile!), Takes.Read(takes.File("plain.wav")));
        Assert.Equal((4, 9), (aligned.Length, placed.Length));
        Assert.Equal(aligned, placed[..4]);
        Assert.All(placed[4..], row => Assert.All(row, x => Assert.Equal(0, x)));
        for (var c = 0; c < 4; c++)
            for (var n = 111; n < Frames; n++)
                Assert.Equal(-plain[c][n - 111], aligned[c][n], 2e-6f);
    }

    [Fact]
    public void FilesAreNamedByTheSessionAndTracksByTheRecorder()
    {
        var take = takes.Write("take.wav", Takes.Noise(7, 2000, seed: 5), [null, null, null, null, "Harp near", null, null]);
        var result = Align(Takes.Session(Takes.Spot("harp", 1, 5), Takes.Spot("Main", 2, 6, 7)), take, new AlignmentSettings { Place = true });

        Assert.Equal(["main.wav", "harp.wav", "harp-placed.wav", "Main-2.wav", "Main-placed.wav"],
            new[] { result.ArrayFile }.Concat(result.Spots.SelectMany(s => new[] { s.File, s.PlacedFile! })).Select(Path.GetFileName));
        Assert.Equal(["Harp near"], WavInput.Open(result.Spots[0].File).ChannelNames);
        Assert.Equal(["Main 6", "Main 7"], WavInput.Open(result.Spots[1].File).ChannelNames);
    }

    [Fact]
    public void UnmeasuredSpotIsWrittenAsItIsAndFound()
    {
        var noise = Takes.Noise(5, 2000, seed: 6);
        var spot = new SpotEntry { Id = "harp", Channels = [5] };

        var result = Align(Takes.Session(spot), takes.Write("take.wav", noise), new AlignmentSettings { Place = true, Field = new FieldSettings { SampleFormat = SampleFormat.Float32 } });

        Assert.Equal(["no-delay", "no-direction"], result.Findings.Select(f => f.Code));
        Assert.Null(result.Spots[0].PlacedFile);
        Assert.Equal(noise[4], Takes.Read(result.Spots[0].File)[0]);
    }

    [Fact]
    public void ExistingFileStopsAllOfThemAndNothingIsLost()
    {
        var take = takes.Write("take.wav", Takes.Noise(5, 2000, seed: 6));
        Directory.CreateDirectory(takes.File("aligned"));
        File.WriteAllText(Path.Combine(takes.File("aligned"), "harp.wav"), "precious");

        var refusal = Assert.Throws<UnusableInputException>(() => Align(Takes.Session(Takes.Spot("harp", 1, 5)), take));

        Assert.Equal("output-exists", refusal.Code);
        Assert.Equal("precious", File.ReadAllText(Assert.Single(Directory.GetFiles(takes.File("aligned")))));
    }

    [Fact]
    public void FolderThatWasMadeInVainIsGoneAgain()
    {
        var noise = Takes.Noise(5, 2000, seed: 6);
        noise[4][1000] = float.PositiveInfinity;
        var take = takes.Write("take.wav", noise);

        Assert.Throws<UnusableInputException>(() => Align(Takes.Session(Takes.Spot("harp", 1, 5)), take));

        Assert.False(Directory.Exists(takes.File("aligned")));
    }

    private AlignmentResult Align(SessionDocument session, string take, AlignmentSettings? settings = null) =>
        TakeAligner.Align(session, [take], takes.File("aligned"), settings ?? new AlignmentSettings { Field = new FieldSettings { SampleFormat = SampleFormat.Float32 } });

    // Six tones up to 0.9 of the Nyquist frequency, later by a delay: known at every fraction of a sample.
    private static float[] Tones(double delaySamples)
    {
        double[] ofNyquist = [0.003, 0.1, 0.31, 0.57, 0.8, 0.9];
        var row = new float[Frames];
        for (var n = 0; n < Frames; n++)
            row[n] = (float)ofNyquist.Sum(f => 0.15 * Math.Sin(Math.PI * f * (n - delaySamples) + 10 * f));
        return row;
    }
}
