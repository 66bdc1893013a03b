using System.Numerics;
using System.Runtime.InteropServices;
using CaptureProc.Dsp.Fourier;

namespace CaptureProc.Simulation.Rendering;

/// <summary>A long signal cut into blocks of equal length, each as the spectrum of a frame of twice that length.</summary>
/// <remarks>
/// Thread: one at a time, together with its transform. Convolution with a long response cuts both into blocks: block i of one
/// times block j of the other lands in block i+j of the product, and every block is turned back once, however many met in it.
/// What a source says is transformed once for all microphones; silent blocks cost nothing. An object may be filled again.
/// Source: uniformly partitioned overlap-add convolution, common practice.
/// </remarks>
internal sealed class BlockSpectra
{
    private readonly RealFft<double> transform;
    private readonly double[][] re;
    private readonly double[][] im;
    private readonly bool[] sounds;
    private readonly double[] frame;

    public BlockSpectra(RealFft<double> transform, int frameCount)
    {
        this.transform = transform;
        var blockCount = (frameCount + transform.Size / 2 - 1) / (transform.Size / 2);
        (re, im, sounds) = (new double[blockCount][], new double[blockCount][], new bool[blockCount]);
        frame = new double[transform.Size];
    }

    private int BlockFrames => transform.Size / 2;

    private int BlockCount => re.Length;

    /// <summary>Back to silence.</summary>
    public void Clear() => Array.Clear(sounds);

    /// <summary>Replaces what was there by a signal no longer than the object was made for.</summary>
    public void Fill(ReadOnlySpan<double> signal)
    {
        Clear();
        for (var block = 0; block * BlockFrames < signal.Length; block++)
        {
            var part = signal[(block * BlockFrames)..Math.Min(signal.Length, (block + 1) * BlockFrames)];
            if (!part.ContainsAnyExcept(0.0))
                continue;
            frame.AsSpan(part.Length).Clear();
            part.CopyTo(frame);
            WakeUp(block);
            transform.Forward(frame, re[block], im[block]);
        }
    }

    /// <summary>Adds the product of two signals; blocks beyond the end are dropped.</summary>
    public void AddProduct(BlockSpectra signal, BlockSpectra response)
    {
        for (var i = 0; i < signal.BlockCount; i++)
            for (var j = 0; j < response.BlockCount && i + j < BlockCount; j++)
                if (signal.sounds[i] && response.sounds[j])
                {
                    WakeUp(i + j);
                    MultiplyAdd(signal.re[i], signal.im[i], response.re[j], response.im[j], re[i + j], im[i + j]);
                }
    }

    /// <summary>Turns the blocks back and adds each, over its two block lengths, into a signal.</summary>
    public void AddTo(Span<double> signal)
    {
        for (var block = 0; block < BlockCount; block++)
        {
            if (!sounds[block])
                continue;
            transform.Inverse(re[block], im[block], frame);
            var target = signal[Math.Min(signal.Length, block * BlockFrames)..];
            target = target[..Math.Min(target.Length, frame.Length)];
            for (var i = 0; i < target.Length; i++)
                target[i] += frame[i];
        }
    }

    /// <summary>Makes a silent block a block of zeros that can be added to.</summary>
    private void WakeUp(int block)
    {
        if (sounds[block])
            return;
        sounds[block] = true;
        re[block] ??= new double[transform.BinCount];
        im[block] ??= new double[transform.BinCount];
        Array.Clear(re[block]);
        Array.Clear(im[block]);
    }

    private static void MultiplyAdd(double[] aRe, double[] aIm, double[] bRe, double[] bIm, double[] sumRe, double[] sumIm)
    {
        var wide = sumRe.Length / Vector<double>.Count * Vector<double>.Count;
        var vaRe = Vectors(aRe);
        var vaIm = Vectors(aIm);
        var vbRe = Vectors(bRe);
        var vbIm = Vectors(bIm);
        var vRe = Vectors(sumRe);
        var vIm = Vectors(sumIm);
        for (var i = 0; i < vRe.Length; i++)
        {
            vRe[i] += vaRe[i] * vbRe[i] - vaIm[i] * vbIm[i];
            vIm[i] += vaRe[i] * vbIm[i] + vaIm[i] * vbRe[i];
        }
        for (var i = wide; i < sumRe.Length; i++)
        {
            sumRe[i] += aRe[i] * bRe[i] - aIm[i] * bIm[i];
            sumIm[i] += aRe[i] * bIm[i] + aIm[i] * bRe[i];
        }

        static Span<Vector<double>> Vectors(double[] run) => MemoryMarshal.Cast<double, Vector<double>>(run.AsSpan());
    }
}
