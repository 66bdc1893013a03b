using CaptureProc.Rendering.Alignment;
using CaptureProc.Rendering.Conversion;
using CaptureProc.Rendering.Mixing;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Rendering.Tests.Mixing;

public sealed class TakeMixerTests : IDisposable
{
    private const int Frames = 20011;

    private readonly Takes takes = new();

    public void Dispose() => takes.Dispose();

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void MixIsTheSumOfWhatAlignWrites(int order)
    {
        var take = takes.Write("take.wav", Takes.Noise(11, Frames, seed: 1));
        var organ = Takes.Spot("organ", -12.5, 8, 9, 10, 11) with { ArrayId = "organ" };
        var session = Takes.Session(Takes.Spot("harp", 812.37, 5) with { Polarity = -1 }, Takes.Spot("piano", 40.2, 6, 7), organ);
        session = session with { Arrays = [.. session.Arrays, Takes.Array("organ", 8, 9, 10, 11)] };
        var settings = new AlignmentSettings { Order = order, Place = true, LaterMs = 0.1, Field = new FieldSettings { SampleFormat = SampleFormat.Float32 } };

        var aligned = TakeAligner.Align(session, [take], takes.File("aligned"), settings);
        var result = TakeMixer.Mix(session, [take], takes.File("mix.wav"), new MixSettings
        {
            Alignment = settings, SpotGainDb = -3, SpotGainsDb = new Dictionary<string, double> { ["harp"] = 2 }, LevelDb = -1,
        });

        Assert.Equal(3, result.Mixed.Count);
        Assert.Equal(8, result.Plan.HeldBackFrames);
        var mix = Takes.Read(takes.File("mix.wav"));
        Assert.Equal((order + 1) * (order + 1), mix.Length);
        var array = Takes.Read(aligned.ArrayFile);
        var spots = aligned.Spots.Select(s => (Rows: Takes.Read(s.PlacedFile!), Gain: Math.Pow(10, (s.Spot.Spot.Id == "harp" ? 1.0 : -4.0) / 20))).ToList();
        for (var c = 0; c < mix.Length; c++)
            for (var n = 0; n < Frames; n++)
            {
                var sum = (c < 4 ? Math.Pow(10, -1.0 / 20) * array[c][n] : 0) + spots.Sum(s => s.Gain * s.Rows[c][n]);
                Assert.Equal(sum, mix[c][n], 2e-6);
            }
    }

    [Fact]
    public void SpotThatDoesNotLineUpIsLeftOut()
    {
        var take = takes.Write("take.wav", Takes.Noise(6, 2000, seed: 2));
        var session = Takes.Session(
            Takes.Spot("harp", 1, 5) with { Delay = null }, Takes.Spot("horn", 1, 6) with { Direction = null });

        var result = TakeMixer.Mix(session, [take], takes.File("mix.wav"), new MixSettings { Alignment = new AlignmentSettings { Field = new FieldSettings { SampleFormat = SampleFormat.Float32 } } });

        Assert.Empty(result.Mixed);
        Assert.Equal(["no-delay", "left-out", "left-out"], result.Findings.Select(f => f.Code));
        TakeConverter.Convert(session, [take], takes.File("plain.wav"), new FieldSettings { SampleFormat = SampleFormat.Float32 });
        var (mix, plain) = (Takes.Read(takes.File("mix.wav")), Takes.Read(takes.File("plain.wav")));
        for (var c = 0; c < 4; c++)
            for (var n = 0; n < 2000; n++)
                Assert.Equal(plain[c][n], mix[c][n], 1e-6f);
    }

    [Fact]
    public void GainOfAnUnknownSpotIsRefused() =>
        Assert.Equal("no-such-spot", Assert.Throws<UnusableInputException>(() => TakeMixer.Mix(Takes.Session(), [takes.Write("take.wav", Takes.Noise(4, 10, 1))],
            takes.File("mix.wav"), new MixSettings { SpotGainsDb = new Dictionary<string, double> { ["oboe"] = 0 } })).Code);
}
