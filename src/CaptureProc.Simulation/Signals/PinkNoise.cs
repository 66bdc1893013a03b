using System.Runtime.Intrinsics;

namespace CaptureProc.Simulation.Signals;

/// <summary>Gaussian noise that falls 3 dB an octave, RMS 1 over the whole band.</summary>
/// <remarks>
/// Thread: one at a time. White noise through a ladder of first-order sections: a pole every octave from 10 Hz upwards, each
/// with its zero half an octave above, which keeps within 0.4 dB of −3 dB an octave from 20 Hz to 7 kHz at 48 kHz and is
/// 1.3 dB too strong at 14 kHz: enough for the hiss of an amplifier, not for lining up gains. The ladder runs as its partial fractions, a constant and one pole each, because poles side by side need
/// not wait for one another. Starts from rest. Source: common practice, no source.
/// </remarks>
public sealed class PinkNoise
{
    private const double LowestPoleHz = 10;

    private readonly SeededRandom chance;
    private readonly Vector256<double>[] poles, residues, states;
    private readonly double constant;
    private readonly double gain;

    public PinkNoise(double sampleRateHz, SeededRandom chance)
    {
        this.chance = chance;
        var count = (int)Math.Floor(Math.Log2(0.45 * sampleRateHz / LowestPoleHz));
        var (pole, zero) = (new double[count], new double[count]);
        for (var s = 0; s < count; s++)
        {
            var poleHz = LowestPoleHz * Math.Pow(2, s);
            pole[s] = Math.Exp(-2 * Math.PI * poleHz / sampleRateHz);
            zero[s] = Math.Exp(-2 * Math.PI * poleHz * Math.Sqrt(2) / sampleRateHz);
        }

        var residue = new double[count];
        constant = 1;
        for (var s = 0; s < count; s++)
        {
            constant *= zero[s] / pole[s];
            residue[s] = 1 - zero[s] / pole[s];
            for (var k = 0; k < count; k++)
                if (k != s)
                    residue[s] *= (1 - zero[k] / pole[s]) / (1 - pole[k] / pole[s]);
        }

        poles = Lanes(pole);
        residues = Lanes(residue);
        states = new Vector256<double>[poles.Length];
        gain = 1 / RmsForUnitWhite(pole, residue);
    }

    public double Next()
    {
        var white = gain * chance.Gaussian();
        var input = Vector256.Create(white);
        var sum = Vector256<double>.Zero;
        for (var s = 0; s < states.Length; s++)
        {
            states[s] = poles[s] * states[s] + input;
            sum += residues[s] * states[s];
        }
        return constant * white + Vector256.Sum(sum);
    }

    /// <summary>√Σh² in closed form, for h[0] = c + Σr and h[n] = Σ r·pⁿ after it.</summary>
    private double RmsForUnitWhite(double[] pole, double[] residue)
    {
        var (sum, first) = (0.0, 0.0);
        for (var i = 0; i < pole.Length; i++)
        {
            first += residue[i];
            for (var j = 0; j < pole.Length; j++)
                sum += residue[i] * residue[j] / (1 - pole[i] * pole[j]);
        }
        return Math.Sqrt(sum + constant * (constant + 2 * first));
    }

    private static Vector256<double>[] Lanes(double[] values)
    {
        var lanes = new Vector256<double>[(values.Length + 3) / 4];
        for (var i = 0; i < values.Length; i++)
            lanes[i / 4] = lanes[i / 4].WithElement(i % 4, values[i]);
        return lanes;
    }
}
