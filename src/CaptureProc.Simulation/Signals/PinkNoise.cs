namespace CaptureProc.Simulation.Signals;

/// <summary>Gaussian noise that falls 3 dB an octave, RMS 1 over the whole band.</summary>
/// <remarks>
/// Thread: one at a time. White noise through a ladder of first-order shelves: a pole every octave from 10 Hz upwards, each
/// followed by its zero half an octave above, which approaches −3 dB an octave within ±0.2 dB from 20 Hz to a quarter of the rate.
/// Starts with an empty filter; what it lacks below 20 Hz is not missed. Source: common practice, no source.
/// </remarks>
public sealed class PinkNoise
{
    private const double LowestPoleHz = 10;

    private readonly SeededRandom chance;
    private readonly double[] pole, zero, before, after;
    private readonly double gain;

    public PinkNoise(double sampleRateHz, SeededRandom chance)
    {
        this.chance = chance;
        var stages = (int)Math.Floor(Math.Log2(0.45 * sampleRateHz / LowestPoleHz));
        (pole, zero, before, after) = (new double[stages], new double[stages], new double[stages], new double[stages]);
        for (var s = 0; s < stages; s++)
        {
            var poleHz = LowestPoleHz * Math.Pow(2, s);
            pole[s] = Math.Exp(-2 * Math.PI * poleHz / sampleRateHz);
            zero[s] = Math.Exp(-2 * Math.PI * poleHz * Math.Sqrt(2) / sampleRateHz);
        }
        gain = 1 / RmsForUnitWhite();
    }

    public double Next() => gain * Filter(chance.Gaussian());

    private double Filter(double x)
    {
        for (var s = 0; s < pole.Length; s++)
        {
            var y = x - zero[s] * before[s] + pole[s] * after[s];
            (before[s], after[s]) = (x, y);
            x = y;
        }
        return x;
    }

    /// <summary>√Σh²: the impulse response of the ladder, which is over after a second.</summary>
    private double RmsForUnitWhite()
    {
        var sum = 0.0;
        var length = (int)(0.2 / -Math.Log(pole[0]) * 100);
        for (var i = 0; i < length; i++)
        {
            var h = Filter(i == 0 ? 1 : 0);
            sum += h * h;
        }
        Array.Clear(before);
        Array.Clear(after);
        return Math.Sqrt(sum);
    }
}
