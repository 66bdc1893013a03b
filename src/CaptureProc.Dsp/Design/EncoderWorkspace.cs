using System.Numerics;
using CaptureProc.Dsp.Fourier;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Design;

/// <summary>The memory that an encoder's design needs on its way, kept from one design to the next.</summary>
/// <remarks>
/// Thread: [any]; one design at a time has it, another one makes its own. In a plug-in a design that left its spectra to the
/// collector would, some designs later, stop the audio thread.
/// </remarks>
internal sealed class EncoderWorkspace
{
    private const int Outputs = 4;

    private static EncoderWorkspace? spare;

    private readonly int inputs;
    private readonly double[] spectra;

    private EncoderWorkspace(int inputs, int fftSize)
    {
        this.inputs = inputs;
        Fft = new RealFft<double>(fftSize);
        spectra = FlatArray.New<double>(2 * Outputs * inputs * Fft.BinCount);
        Response = FlatArray.New<double>(fftSize);
        Gains = new Complex[Outputs * inputs];
        Encoder = new double[OptimalEncoder.WorkspaceLength(inputs)];
    }

    public RealFft<double> Fft { get; }

    public double[] Response { get; }

    public Complex[] Gains { get; }

    public double[] Encoder { get; }

    /// <summary>The real parts of the response from one input to one output, then the imaginary ones.</summary>
    public Span<double> Re(int filter) => spectra.AsSpan(2 * filter * Fft.BinCount, Fft.BinCount);

    public Span<double> Im(int filter) => spectra.AsSpan((2 * filter + 1) * Fft.BinCount, Fft.BinCount);

    public static EncoderWorkspace Take(int inputs, int fftSize) =>
        Interlocked.Exchange(ref spare, null) is { } kept && kept.inputs == inputs && kept.Fft.Size == fftSize ? kept : new EncoderWorkspace(inputs, fftSize);

    public void GiveBack() => Volatile.Write(ref spare, this);
}
