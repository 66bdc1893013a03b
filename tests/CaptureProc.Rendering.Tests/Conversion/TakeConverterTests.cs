using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Design;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Rendering.Conversion;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Rendering.Tests.Conversion;

public sealed class TakeConverterTests : IDisposable
{
    private readonly Takes takes = new();

    public void Dispose() => takes.Dispose();

    public static TheoryData<Correction, FieldFormat, bool> Kinds
    {
        get
        {
            var data = new TheoryData<Correction, FieldFormat, bool>();
            foreach (var correction in Enum.GetValues<Correction>())
                foreach (var format in Enum.GetValues<FieldFormat>())
                    foreach (var isTurned in (bool[])[false, true])
                        data.Add(correction, format, isTurned);
            return data;
        }
    }

    [Theory]
    [MemberData(nameof(Kinds))]
    public void OutputIsTheEncodersSumsAtTheTakesTime(Correction correction, FieldFormat format, bool isTurned)
    {
        // Longer than two blocks of the conveyor, and no multiple of anything.
        var noise = Takes.Noise(5, 33001, seed: 11);
        var session = Takes.Session() with
        {
            Arrays = [Takes.Array("main", 5, 2, 1, 4) with
            {
                TrimSets = [new TrimSet { Name = "line-up", Db = [0.3, -0.2, 0.1, 0] }], ActiveTrim = "line-up",
                Mount = new MountEntry { RollDeg = 180 },
            }],
        };
        var turn = isTurned ? Rotation3D.FromYawPitchRollDeg(33, -12, 71) : Rotation3D.Identity;
        var output = Convert(session, noise, new FieldConversion { Correction = correction, Format = format, Turn = turn });

        var expected = SlowField(session, noise, correction, turn, format);
        Assert.Equal(4, output.Length);
        for (var channel = 0; channel < 4; channel++)
        {
            Assert.Equal(33001, output[channel].Length);
            // Float transforms of up to 4096 points: below -120 dB of full scale.
            for (var n = 0; n < output[channel].Length; n++)
                Assert.True(Math.Abs(expected[channel][n] - output[channel][n]) < 1e-6, $"channel {channel} frame {n}: {expected[channel][n]} {output[channel][n]}");
        }
    }

    [Fact]
    public void PlainMatrixAgreesWithSox()
    {
        // Quiet enough that no sum reaches full scale, at which sox would clip.
        var take = takes.Write("take.wav", [.. Takes.Noise(4, 20000, seed: 2).Select(row => row.Select(x => x / 2).ToArray())]);
        TakeConverter.Convert(Takes.Session(), [take], takes.File("ours.wav"), new FieldSettings
        {
            Conversion = new FieldConversion { Correction = Correction.None }, SampleFormat = SampleFormat.Float32,
        });
        // Gains of a coincident tetrahedron of cardioids: W = sum/(4·0.5), XYZ = sum·√3/(4·0.5) (closed form; channels W Y Z X).
        const string w = "0.5", d = "0.866025404";
        Tool.Run("sox", take, takes.File("sox.wav"), "remix",
            $"1v{w},2v{w},3v{w},4v{w}", $"1v{d},2v-{d},3v{d},4v-{d}", $"1v{d},2v-{d},3v-{d},4v{d}", $"1v{d},2v{d},3v-{d},4v-{d}");

        var (ours, sox) = (Takes.Read(takes.File("ours.wav")), Takes.Read(takes.File("sox.wav")));
        // Float transforms: -120 dB of full scale.
        for (var channel = 0; channel < 4; channel++)
            for (var n = 0; n < 20000; n++)
                Assert.Equal(sox[channel][n], ours[channel][n], 1e-6f);
    }

    [Fact]
    public void ChannelsMayComeFromSeveralFiles()
    {
        var noise = Takes.Noise(4, 5000, seed: 3);
        var whole = takes.Write("take.wav", noise);
        var parts = noise.Select((row, i) => takes.Write($"part{i}.wav", [row])).ToArray();

        TakeConverter.Convert(Takes.Session(), [whole], takes.File("a.wav"), new FieldSettings());
        TakeConverter.Convert(Takes.Session(), parts, takes.File("b.wav"), new FieldSettings());

        Assert.Equal(Takes.Read(takes.File("a.wav")), Takes.Read(takes.File("b.wav")));
    }

    [Fact]
    public void TrimSetIsTheOneThatIsNamed()
    {
        var noise = Takes.Noise(4, 3000, seed: 4);
        var array = Takes.Array("main", 1, 2, 3, 4) with
        {
            TrimSets = [new TrimSet { Name = "a", Db = [6, 6, 6, 6] }, new TrimSet { Name = "b", Db = [-6, -6, -6, -6] }], ActiveTrim = "a",
        };
        var session = Takes.Session() with { Arrays = [array] };

        var active = Convert(session, noise, new FieldConversion());
        var other = Convert(session, noise, new FieldConversion { Trim = "b" });
        var none = Convert(session, noise, new FieldConversion { Trim = "none" });

        Assert.Equal(6, 20 * Math.Log10(Rms(active[0]) / Rms(none[0])), 1e-4);
        Assert.Equal(-6, 20 * Math.Log10(Rms(other[0]) / Rms(none[0])), 1e-4);
    }

    [Fact]
    public void OutputCarriesTheComponentsAsTrackNames()
    {
        var take = takes.Write("take.wav", Takes.Noise(4, 3000, seed: 4), ["FLU", "FRD", "BLD", "BRU"]);
        TakeConverter.Convert(Takes.Session(), [take], takes.File("ambix.wav"), new FieldSettings());
        TakeConverter.Convert(Takes.Session(), [take], takes.File("fuma.wav"),
            new FieldSettings { Conversion = new FieldConversion { Format = FieldFormat.FuMa } });

        Assert.Equal(["ACN0", "ACN1", "ACN2", "ACN3"], WavInput.Open(takes.File("ambix.wav")).ChannelNames);
        Assert.Equal(["W", "X", "Y", "Z"], WavInput.Open(takes.File("fuma.wav")).ChannelNames);
    }

    [Fact]
    public void SamplesBeyondFullScaleAreFoundAndTheWayOutIsSaid()
    {
        var loud = Takes.Noise(4, 3000, seed: 4).Select(row => row.Select(x => 2 * x).ToArray()).ToArray();
        var take = takes.Write("take.wav", loud);

        var finding = Assert.Single(TakeConverter.Convert(Takes.Session(), [take], takes.File("24.wav"), new FieldSettings()).Findings);
        Assert.Equal("clipped", finding.Code);
        Assert.Contains("--bits 32f", finding.Message, StringComparison.Ordinal);
        Assert.Empty(TakeConverter.Convert(Takes.Session(), [take], takes.File("32.wav"), new FieldSettings { SampleFormat = SampleFormat.Float32 }).Findings);
    }

    [Fact]
    public void SilentCapsuleIsFound()
    {
        var noise = Takes.Noise(4, 3000, seed: 4);
        noise[2].AsSpan().Clear();

        var result = TakeConverter.Convert(Takes.Session(), [takes.Write("take.wav", noise)], takes.File("out.wav"), new FieldSettings { SampleFormat = SampleFormat.Float32 });

        Assert.Contains("channel 3, capsule BLD", Assert.Single(result.Findings).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void SilentArrayIsRefusedAndNothingIsWritten()
    {
        var noise = Takes.Noise(5, 3000, seed: 4);
        foreach (var row in noise[..4])
            row.AsSpan().Clear();
        Refuses("silence", Takes.Session(), noise);
    }

    [Fact]
    public void SampleThatIsNoNumberIsRefusedAndNothingIsWritten()
    {
        var noise = Takes.Noise(4, 40000, seed: 4);
        noise[1][30000] = float.NaN;
        Refuses("not-a-number", Takes.Session(), noise);
    }

    [Fact]
    public void OtherRateIsRefused() => Refuses("rate-differs", Takes.Session() with { SampleRate = 96000 }, Takes.Noise(4, 100, 1));

    [Fact]
    public void MissingChannelIsRefused() => Refuses("channel-missing", Takes.Session(), Takes.Noise(3, 100, 1));

    [Fact]
    public void ArrayThatCannotResolveTheFieldIsRefused()
    {
        var array = Takes.Array("main", 1, 2, 3, 4);
        Refuses("array-unresolvable", Takes.Session() with { Arrays = [array with { Capsules = [.. array.Capsules.Select(c => c with { ElevationDeg = 0 })] }] }, Takes.Noise(4, 100, 1));
    }

    [Fact]
    public void TakeIsNeverWrittenOver()
    {
        var take = takes.Write("take.wav", Takes.Noise(4, 100, seed: 1));
        var before = File.ReadAllBytes(take);

        var refusal = Assert.Throws<UnusableInputException>(() =>
            TakeConverter.Convert(Takes.Session(), [take], Path.Combine(takes.Folder, ".", "take.wav"), new FieldSettings { Replace = true }));

        Assert.Equal("output-is-input", refusal.Code);
        Assert.Equal(before, File.ReadAllBytes(take));
    }

    private void Refuses(string code, SessionDocument session, float[][] planar)
    {
        var take = takes.Write("take.wav", planar);
        var refusal = Assert.Throws<UnusableInputException>(() => TakeConverter.Convert(session, [take], takes.File("out.wav"), new FieldSettings()));
        Assert.Equal(code, refusal.Code);
        Assert.Equal([take], Directory.GetFiles(takes.Folder));
    }

    private float[][] Convert(SessionDocument session, float[][] planar, FieldConversion conversion)
    {
        TakeConverter.Convert(session, [takes.Write("take.wav", planar)], takes.File("out.wav"),
            new FieldSettings { Conversion = conversion, SampleFormat = SampleFormat.Float32, Replace = true });
        return Takes.Read(takes.File("out.wav"));
    }

    private static double Rms(float[] row) => Math.Sqrt(row.Average(x => (double)x * x));

    // The definition, in double: trims, the encoder's taps summed directly, its latency taken out, the turn, order and scale.
    private static double[][] SlowField(SessionDocument session, float[][] take, Correction correction, Rotation3D turn, FieldFormat format)
    {
        var array = session.Arrays[0];
        var encoder = EncoderDesign.Design(array.ToCapsuleArray(), session.SampleRate, session.Air.SpeedOfSound, correction);
        var frames = take[0].Length;
        var field = new double[4][];
        for (var acn = 0; acn < 4; acn++)
        {
            field[acn] = new double[frames];
            for (var input = 0; input < 4; input++)
            {
                var (row, gain, taps) = (take[array.Channels[input] - 1], Math.Pow(10, array.TrimDb()[input] / 20), encoder.Taps(acn, input).ToArray());
                for (var n = 0; n < frames; n++)
                    for (var k = Math.Max(0, n + encoder.LatencyFrames - frames + 1); k < taps.Length && k <= n + encoder.LatencyFrames; k++)
                        field[acn][n] += gain * taps[k] * row[n + encoder.LatencyFrames - k];
            }
        }
        // A turn moves the figure-of-eight's aim: X, Y and Z turn as a vector does (closed form); FuMa is W/√2, X, Y, Z.
        var turned = new[] { new double[frames], new double[frames], new double[frames], new double[frames] };
        for (var n = 0; n < frames; n++)
        {
            var v = turn.Apply(new Vector3D(field[3][n], field[1][n], field[2][n]));
            double[] channels = format == FieldFormat.FuMa ? [field[0][n] / Math.Sqrt(2), v.X, v.Y, v.Z] : [field[0][n], v.Y, v.Z, v.X];
            for (var c = 0; c < 4; c++)
                turned[c][n] = channels[c];
        }
        return turned;
    }
}
