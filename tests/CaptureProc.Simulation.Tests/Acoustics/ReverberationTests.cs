using CaptureProc.Dsp.Fourier;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Acoustics;

namespace CaptureProc.Simulation.Tests.Acoustics;

public sealed class ReverberationTests
{
    private const double RateHz = 48000;
    private static readonly Vector3D Player = new(4.1, 3.2, 1.1);
    private static readonly Vector3D Stand = new(6.8, 5.1, 2.3);

    [Theory]
    [InlineData(0.4, 1.0)]
    [InlineData(1.2, 1.0)]
    [InlineData(2.5, 0.5)]
    public void TheRenderedDecayIsTheOneAskedFor(double seconds, double pattern)
    {
        var room = new Room(new Vector3D(14, 11, 6), seconds);
        // T30 by Schroeder's backward integral, −5 to −35 dB (ISO 3382-1, read via phonometry). Chance moves one
        // response by a few percent at short times; four places are averaged.
        var mean = 0.0;
        for (var seed = 1UL; seed <= 4; seed++)
            mean += T30(Response(room, pattern, seed)) / 4;
        Assert.InRange(mean / seconds, 0.95, 1.05);
    }

    [Fact]
    public void HighFrequenciesDecayAtATimeOfTheirOwn()
    {
        var room = new Room(new Vector3D(14, 11, 6), 1.6) { HighReverberationSeconds = 0.7 };
        var response = Response(room, 1, 3);
        Assert.InRange(T30(Band(response, 200, 800)) / 1.6, 0.92, 1.08);
        // At 16 kHz the first-order crossover at 4 kHz still lets a sixteenth of the slow energy through, from the start;
        // its decay takes over after a while, so the first 10 dB are looked at.
        Assert.InRange(Decay(Band(response, 14000, 20000), -1, -11) / 0.7, 0.85, 1.25);
    }

    [Fact]
    public void TwoCapsulesInTheTailAgreeAsInADiffuseField()
    {
        // Omni: sin(kd)/(kd). Cardioids on a tetrahedron of kr = 1: 0.4684 (Σ(2n+1)|b_n|²P_n(u_i·u_j), normalised; computed).
        var room = new Room(new Vector3D(14, 11, 6), 1.5);
        const double frequencyHz = 3000;
        var k = 2 * Math.PI * frequencyHz / room.SpeedOfSoundMps;

        var apart = new Vector3D(1.2 / k, 0, 0);
        Near(Math.Sin(1.2) / 1.2, new Capsule(Stand, Vector3D.Front, 1), new Capsule(Stand + apart, Vector3D.Front, 1));

        var (u, v) = (new Vector3D(1, 1, 1).Normalised(), new Vector3D(1, -1, -1).Normalised());
        Near(0.4684, new Capsule(Stand + 1 / k * u, u, 0.5), new Capsule(Stand + 1 / k * v, v, 0.5));

        void Near(double expected, Capsule first, Capsule second)
        {
            var (cross, one, two) = (0.0, 0.0, 0.0);
            for (var seed = 1UL; seed <= 12; seed++)
            {
                var images = ImageField.At(room, Player, Radiation.Even, Stand, 1.0, new SeededRandom(seed));
                var a = Band(Late(images, first, room), 0.97 * frequencyHz, 1.03 * frequencyHz);
                var b = Band(Late(images, second, room), 0.97 * frequencyHz, 1.03 * frequencyHz);
                for (var i = 0; i < a.Length; i++)
                    (cross, one, two) = (cross + a[i] * b[i], one + a[i] * a[i], two + b[i] * b[i]);
            }
            // 180 Hz · 0.5 s (effective) · 12 draws ≈ 1000 independent numbers: standard error about 0.03.
            Assert.InRange(cross / Math.Sqrt(one * two) - expected, -0.09, 0.09);
        }
    }

    [Fact]
    public void DistantMicrophonesShareNothingOfTheTail()
    {
        var room = new Room(new Vector3D(14, 11, 6), 1.5);
        var chance = new SeededRandom(4);
        var here = Late(ImageField.At(room, Player, Radiation.Even, Stand, 1, chance.Fork("here")), new Capsule(Stand, Vector3D.Front, 1), room);
        var there = Late(ImageField.At(room, Player, Radiation.Even, Stand, 1, chance.Fork("there")), new Capsule(Stand, Vector3D.Front, 1), room);
        var (cross, one, two) = (0.0, 0.0, 0.0);
        for (var i = 0; i < here.Length; i++)
            (cross, one, two) = (cross + here[i] * there[i], one + here[i] * here[i], two + there[i] * there[i]);
        Assert.InRange(cross / Math.Sqrt(one * two), -0.05, 0.05);
    }

    private static double[] Response(Room room, double pattern, ulong seed)
    {
        var images = ImageField.At(room, Player, Radiation.Even, Stand, room.ReverberationSeconds, new SeededRandom(seed));
        var response = new double[(int)(room.ReverberationSeconds * RateHz)];
        new Capsule(Stand, Vector3D.Front, pattern).Respond(images, room, RateHz, response);
        return response;
    }

    private static double[] Late(ImageSource[] images, Capsule capsule, Room room)
    {
        var late = Array.FindAll(images, image => (image.PositionM - Stand).Length > room.MixingSeconds * room.SpeedOfSoundMps + 0.1);
        var response = new double[(int)RateHz];
        capsule.Respond(late, room, RateHz, response);
        return response;
    }

    private static double[] Band(double[] signal, double lowHz, double highHz)
    {
        var size = 2;
        while (size < 2 * signal.Length)
            size *= 2;
        var fft = new RealFft<double>(size);
        var padded = new double[size];
        signal.CopyTo(padded, 0);
        var (re, im) = (new double[fft.BinCount], new double[fft.BinCount]);
        fft.Forward(padded, re, im);
        for (var bin = 0; bin < re.Length; bin++)
            if (bin * RateHz / size < lowHz || bin * RateHz / size > highHz)
                (re[bin], im[bin]) = (0, 0);
        fft.Inverse(re, im, padded);
        return padded[..signal.Length];
    }

    private static double T30(double[] response) => Decay(response, -5, -35);

    /// <summary>Seconds for 60 dB, from the straight line through the backward integral between two levels.</summary>
    private static double Decay(double[] response, double fromDb, double toDb)
    {
        var left = new double[response.Length];
        var sum = 0.0;
        for (var i = response.Length - 1; i >= 0; i--)
            left[i] = sum += response[i] * response[i];
        // From the direct sound on, as the standard says; the response begins with the flight time.
        var (n, x, y, xx, xy) = (0, 0.0, 0.0, 0.0, 0.0);
        for (var i = 0; i < left.Length; i++)
        {
            var db = 10 * Math.Log10(left[i] / left[0]);
            if (db > fromDb || db < toDb)
                continue;
            var t = i / RateHz;
            (n, x, y, xx, xy) = (n + 1, x + t, y + db, xx + t * t, xy + t * db);
        }
        return -60 / ((n * xy - x * y) / (n * xx - x * x));
    }
}
