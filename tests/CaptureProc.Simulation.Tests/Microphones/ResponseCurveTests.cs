using System.Numerics;
using CaptureProc.Dsp.Fourier;
using CaptureProc.Simulation.Microphones;

namespace CaptureProc.Simulation.Tests.Microphones;

public sealed class ResponseCurveTests
{
    private const double C = 343.2;

    [Theory]
    [InlineData(1, 80)]
    [InlineData(2, 20)]
    [InlineData(3, 100)]
    [InlineData(4, 150)]
    public void ALowCutFallsSixDecibelsAnOctaveForEveryOrder(int order, double cornerHz)
    {
        var curve = new ResponseCurve { LowCut = new LowCut(cornerHz, order) };
        foreach (var hz in (double[])[cornerHz / 8, cornerHz / 2, cornerHz, 3 * cornerHz, 1000])
        {
            // Butterworth's |H|² = 1/(1 + (f_c/f)^2n), its axis bent by the bilinear transform (nothing below 1 kHz).
            var ratio = Math.Tan(Math.PI * cornerHz / 48000) / Math.Tan(Math.PI * hz / 48000);
            Assert.Equal(-10 * Math.Log10(1 + Math.Pow(ratio, 2 * order)), Db(curve.At(hz, 48000, C)), 1e-6);
        }
        Assert.Equal(-6.02 * order, Db(curve.At(cornerHz / 16, 48000, C)) - Db(curve.At(cornerHz / 8, 48000, C)), 0.05);
    }

    [Theory]
    [InlineData(44100)]
    [InlineData(48000)]
    [InlineData(96000)]
    public void EveryCurveIsMinimumPhase(double rateHz)
    {
        // The phase of a minimum-phase response is the Hilbert transform of its log magnitude: by the folded cepstrum
        // (Oppenheim and Schafer, Discrete-Time Signal Processing, section 13.5).
        var curve = new ResponseCurve
        {
            LowCut = new LowCut(120, 2),
            Bells = [new Bell(5000, 8, 0.9), new Bell(700, -2, 0.5), new Bell(11000, 1, 0.8)],
            RollOff = new RollOff(15000),
            Plate = new Plate(0.2),
        };
        const int size = 1 << 16;
        var fft = new RealFft<double>(size);
        var (re, im, cepstrum) = (new double[fft.BinCount], new double[fft.BinCount], new double[size]);
        for (var bin = 0; bin < re.Length; bin++)
            re[bin] = Math.Log(Math.Max(1e-7, curve.At(bin * rateHz / size, rateHz, C).Magnitude));
        fft.Inverse(re, im, cepstrum);
        for (var i = 1; i < size / 2; i++)
            (cepstrum[i], cepstrum[size - i]) = (2 * cepstrum[i], 0);
        fft.Forward(cepstrum, re, im);
        foreach (var hz in (double[])[300, 1000, 3000, 8000])
        {
            var bin = (int)Math.Round(hz * size / rateHz);
            var own = curve.At(bin * rateHz / size, rateHz, C).Phase;
            // The logarithm is cut off at 1e-7, where the curves have no end at Nyquist: hundredths of a radian.
            Assert.Equal(0, Math.IEEERemainder(own - im[bin], 2 * Math.PI), 0.02);
        }
    }

    [Fact]
    public void BellsRollOffsAndPlatesStandWhereTheyAreSaidToStand()
    {
        Assert.Equal(8, Db(new ResponseCurve { Bells = [new Bell(6000, 8, 1)] }.At(6000, 48000, C)), 1e-9);
        Assert.Equal(-3.0103, Db(new ResponseCurve { RollOff = new RollOff(12000) }.At(12000, 48000, C)), 1e-4);
        // 0.2 m of plate: 343.2/0.8 = 429 Hz for half of the 6.02 dB.
        var plate = new ResponseCurve { Plate = new Plate(0.2) };
        Assert.Equal(3.01, Db(plate.At(429, 48000, C)), 0.01);
        Assert.Equal(6.02, Db(plate.At(12000, 48000, C)), 0.02);
        Assert.Equal(0, Db(plate.At(10, 48000, C)), 0.01);
    }

    [Fact]
    public void TheTrebleChangesOffTheAxisOnly()
    {
        var treble = new TreblePattern(5000, SecondOrderPart: 0.2, OffAxisLoss: 0.3);
        Assert.Equal(0, treble.Change(1), 12);
        // P₂(0) − 1 = −1.5 at the side; half of the loss.
        Assert.Equal(-0.3 - 0.15, treble.Change(0), 12);
        Assert.Equal(-0.3, treble.Change(-1), 12);
    }

    private static double Db(Complex response) => 20 * Math.Log10(response.Magnitude);
}
