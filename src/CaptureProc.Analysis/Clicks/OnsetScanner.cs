using System.Numerics;
using System.Runtime.InteropServices;

namespace CaptureProc.Analysis.Clicks;

/// <summary>A sudden sound in one channel.</summary>
/// <param name="Frame">First frame of the block in which it begins.</param>
/// <param name="Prominence">Energy of its loudest block over that of the background before it.</param>
/// <param name="Level">Energy of its loudest block.</param>
public readonly record struct Onset(long Frame, double Prominence, double Level);

/// <summary>Finds sudden short sounds in one channel as it streams by.</summary>
/// <remarks>
/// Thread: one instance a channel. Memory: constant. Allocates: in the constructor only.
/// The channel is filtered to about 1-5 kHz by differences of running sums (four samples against four samples eight earlier),
/// which needs additions only, and its energy is taken in blocks of 1.3 ms. A block is an onset where the energy rises steeply out
/// of the background of the last 50 ms and is gone again 30 to 60 ms later. A syllable stays; a clap, even in a long hall, does
/// not, because its own spot hears it from close by. Whatever passes here by mistake is thrown out when it is measured.
/// </remarks>
public sealed class OnsetScanner
{
    private const int BlockLength = 64;
    private const int History = 128;

    /// <summary>Onsets are known this many blocks late: the decay has to be seen first.</summary>
    private const int Lookahead = 46;

    /// <summary>6 dB: a click at 20 dB peak over noise has 7 to 17 dB; steady noise comes here some times in ten minutes.</summary>
    private const double LeastProminence = 4;

    private const double LeastDecay = 2.5;

    private readonly int stride, blockFrames;
    private readonly float[] tail, sums;
    private readonly double[] energies = new double[History];
    private long block, mutedUntil;
    private double partial, lastPeak;
    private int partialFrames;

    public OnsetScanner(int decimation)
    {
        (stride, blockFrames) = (decimation, BlockLength * decimation);
        tail = new float[11 * stride];
        sums = new float[11 * stride + LongestRun];
    }

    /// <summary>Whether the channel has carried anything but digital silence so far.</summary>
    public bool HasSound { get; private set; }

    /// <summary>Most frames that one call of <see cref="Process"/> takes.</summary>
    public const int LongestRun = 4096;

    /// <summary>Takes the next frames of the channel and reports what is certain by now.</summary>
    public void Process(ReadOnlySpan<float> samples, List<Onset> found)
    {
        ArgumentOutOfRangeException.ThrowIfGreaterThan(samples.Length, LongestRun);
        var line = sums.AsSpan(0, tail.Length + samples.Length);
        tail.CopyTo(line);
        samples.CopyTo(line[tail.Length..]);
        for (var done = 0; done < samples.Length;)
        {
            var count = Math.Min(samples.Length - done, blockFrames - partialFrames);
            partial += BandEnergy(line.Slice(done, count + tail.Length), count);
            partialFrames += count;
            done += count;
            if (partialFrames == blockFrames)
                EndBlock(found);
        }
        line[^tail.Length..].CopyTo(tail);
    }

    /// <summary>Reports what is left at the end of the recording.</summary>
    public void Finish(List<Onset> found)
    {
        for (var i = 0; i < Lookahead; i++)
            EndBlock(found);
    }

    private double BandEnergy(ReadOnlySpan<float> line, int count)
    {
        // Element n + 11·stride of the line is the newest sample that sample n needs.
        var energy = Vector<float>.Zero;
        var width = Vector<float>.Count;
        ref var x = ref MemoryMarshal.GetReference(line);
        var n = 0;
        for (; n <= count - width; n += width)
        {
            var late = Load(ref x, n + 11 * stride) + Load(ref x, n + 10 * stride) + Load(ref x, n + 9 * stride) + Load(ref x, n + 8 * stride);
            var early = Load(ref x, n + 3 * stride) + Load(ref x, n + 2 * stride) + Load(ref x, n + stride) + Load(ref x, n);
            var band = late - early;
            energy += band * band;
        }
        double sum = Vector.Sum(energy);
        for (; n < count; n++)
        {
            var band = line[n + 11 * stride] + line[n + 10 * stride] + line[n + 9 * stride] + line[n + 8 * stride]
                - line[n + 3 * stride] - line[n + 2 * stride] - line[n + stride] - line[n];
            sum += band * band;
        }
        return sum;
    }

    private static Vector<float> Load(ref float start, int offset) => Vector.LoadUnsafe(ref start, (nuint)offset);

    private void EndBlock(List<Onset> found)
    {
        energies[block % History] = partial / blockFrames;
        HasSound |= partial > 0;
        (partial, partialFrames) = (0, 0);
        block++;
        Judge(block - 1 - Lookahead, found);
    }

    private double At(long index) => index < 0 || index >= block ? 0 : energies[index % History];

    private void Judge(long candidate, List<Onset> found)
    {
        if (candidate < 0)
            return;
        var peak = Math.Max(At(candidate), Math.Max(At(candidate + 1), At(candidate + 2)));
        // -120 dBFS: below this, a rise out of digital silence is no sound.
        if (peak < 1e-12 || At(candidate) < 0.1 * peak || At(candidate - 1) > 0.25 * peak)
            return;
        var background = Math.Max(Mean(candidate - 40, candidate - 20), Mean(candidate - 20, candidate - 2));
        if (peak < LeastProminence * background || peak < LeastDecay * Mean(candidate + 24, candidate + 44))
            return;
        // For a while after an onset, only something much louder is a new one: a clap may follow a word.
        if (candidate < mutedUntil && peak < 4 * lastPeak)
            return;
        lastPeak = peak;
        found.Add(new Onset(candidate * blockFrames, peak / Math.Max(background, 1e-14), peak));
        mutedUntil = candidate + Lookahead;
    }

    private double Mean(long from, long to)
    {
        var sum = 0.0;
        for (var i = from; i < to; i++)
            sum += At(i);
        return sum / (to - from);
    }
}
