using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Design;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Plugins.Tests.Native;
using CaptureProc.Session;

namespace CaptureProc.Plugins.Tests.Live;

/// <summary>Behind a mixing or not, an array sounds as its sixteen filters do, convolved plainly by the block convolver of the command line.</summary>
public sealed class SeparableArrayTests : IDisposable
{
    private readonly LivePlugins plugins = new();

    public void Dispose() => plugins.Dispose();

    [Theory]
    [InlineData(0, 0, 0, 0)]
    [InlineData(0, 0, 180, 0)]
    [InlineData(35, -20, 10, 0)]
    [InlineData(0, 0, 0, 4)]
    public void AnArraySoundsAsItsSixteenFilters(double yawDeg, double pitchDeg, double rollDeg, double bentDeg)
    {
        var array = Bent(bentDeg) with { Mount = new MountEntry { YawDeg = yawDeg, PitchDeg = pitchDeg, RollDeg = rollDeg } };
        plugins.Publish(Session(array));
        using var effect = plugins.Start("Array", 512, ("Session", "One"));
        var input = Playing.Noise(4, 9600, 7);
        var actual = Playing.Play(effect, input, 512);
        Assert.InRange(Playing.DifferenceDb(Plain(array, input), actual), double.NegativeInfinity, LimitDbfs);
    }

    [Fact]
    public void AChangeFromATurnedArrayToAnotherIsTheOtherInTheEnd()
    {
        var (before, after) = (Tetrahedron.Main, Bent(3) with { Mount = new MountEntry { YawDeg = 50 } });
        var path = plugins.Publish(Session(before));
        using var effect = plugins.Start("Array", 512, ("Session", "One"));
        var input = Playing.Noise(4, 9600, 8);
        Playing.Play(effect, input, 512);
        SessionStore.Update(path, s => s with { Arrays = [after] });
        var expected = Plain(after, input);
        var difference = double.PositiveInfinity;
        for (var round = 0; round < 200 && !(difference < LimitDbfs); round++)
        {
            Thread.Sleep(50);
            Playing.Play(effect, input, 512);
            // The end of the noise, when the filters' memory holds nothing else.
            var actual = Playing.Play(effect, input, 512);
            difference = Playing.DifferenceDb([.. expected.Select(c => c[2000..])], [.. actual.Select(c => c[2000..])]);
        }
        Assert.InRange(difference, double.NegativeInfinity, LimitDbfs);
    }

    // One step of a float at full scale is −138 dB; the sums here reach some units.
    private const double LimitDbfs = -124;

    private static float[][] Plain(ArrayEntry array, float[][] input)
    {
        var filter = EncoderDesign.Design(array.ToCapsuleArray(), 48000, 343.2, Correction.Full);
        var output = Enumerable.Range(0, 4).Select(_ => new float[input[0].Length]).ToArray();
        new BlockMatrixConvolver(filter, input[0].Length).Process(input, (PlanarSpan)output);
        return output;
    }

    private static ArrayEntry Bent(double degrees) => Tetrahedron.Main with
    {
        Capsules = [.. Tetrahedron.Main.Capsules.Select((c, i) => c with { ElevationDeg = c.ElevationDeg + degrees * (i - 1.5) })],
    };

    private static SessionDocument Session(ArrayEntry array) => new()
    {
        Title = "One", SampleRate = 48000, Created = DateTimeOffset.UnixEpoch, Arrays = [array], Air = new AirEntry { TemperatureC = 20, SpeedOfSound = 343.2 },
    };
}
