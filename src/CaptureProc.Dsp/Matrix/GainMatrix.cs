using System.Numerics;
using System.Runtime.InteropServices;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Matrix;

/// <summary>A matrix of gains that glide in straight lines: trims, a turn of the field, a place in it, a fade.</summary>
/// <remarks>
/// Thread: constructor [main], the rest [audio]. Allocates: in the constructor only. In place: yes. Latency: none.
/// Shape:  gains are output-major, Outputs × Inputs. Unit: linear.
/// A glide moves every gain linearly from where it is to its target over a number of frames, wherever block borders fall.
/// A new glide may begin before the last has ended: it starts from where that one is.
/// Error:  one rounding a product and sum; a gain in a glide is exact to 2^-22 of the larger end.
/// </remarks>
public sealed class GainMatrix : IPlanarProcessor
{
    private readonly float[] start;
    private readonly float[] target;
    private readonly AlignedBuffer<float> copy;
    private int glideFrames;
    private int glideDone;

    public GainMatrix(int outputs, int inputs, int maxBlockFrames)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(outputs, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(inputs, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(maxBlockFrames, 1);
        (Outputs, Inputs, MaxBlockFrames) = (outputs, inputs, maxBlockFrames);
        start = new float[outputs * inputs];
        target = new float[outputs * inputs];
        copy = new AlignedBuffer<float>(inputs * maxBlockFrames);
    }

    public int Inputs { get; }

    public int Outputs { get; }

    public int MaxBlockFrames { get; }

    public int LatencyFrames => 0;

    /// <summary>Whether gains are still on their way.</summary>
    public bool IsGliding => glideDone < glideFrames;

    /// <summary>Whether nothing gets through, now and until the next glide.</summary>
    public bool IsSilent => !IsGliding && AreAllZero(target);

    /// <summary>Sends all gains to new values over <paramref name="frames"/> frames; 0 takes them at once.</summary>
    public void GlideTo(ReadOnlySpan<float> gains, int frames)
    {
        if (gains.Length != target.Length)
            throw new ArgumentException($"The matrix has {target.Length} gains, not {gains.Length}.", nameof(gains));
        ArgumentOutOfRangeException.ThrowIfNegative(frames);
        if (IsGliding)
        {
            var way = (float)glideDone / glideFrames;
            for (var i = 0; i < start.Length; i++)
                start[i] += (target[i] - start[i]) * way;
        }
        else
        {
            target.CopyTo(start, 0);
        }
        gains.CopyTo(target);
        (glideFrames, glideDone) = (frames, 0);
    }

    public void Process(ReadOnlyPlanarSpan input, PlanarSpan output)
    {
        BlockShape.Check(this, input, output);
        var frames = input.Frames;
        var usable = SampleGuard.IsUsable(input);
        // All inputs are read before the first output is written: they may be the same memory.
        for (var channel = 0; channel < Inputs; channel++)
        {
            var row = copy.Span.Slice(channel * MaxBlockFrames, frames);
            if (usable)
                SampleGuard.CopyFlushed(input[channel], row);
            else
                row.Clear();
        }
        var gliding = Math.Min(frames, glideFrames - glideDone);
        for (var o = 0; o < Outputs; o++)
        {
            var row = output[o];
            row.Clear();
            for (var i = 0; i < Inputs; i++)
            {
                var (from, to) = (start[o * Inputs + i], target[o * Inputs + i]);
                var source = copy.Span.Slice(i * MaxBlockFrames, frames);
                if (gliding > 0 && from != to)
                    AddGliding(source[..gliding], row, from, (to - from) / glideFrames, glideDone);
                else if (gliding > 0 && from != 0)
                    AddSteady(source[..gliding], row, from);
                if (to != 0)
                    AddSteady(source[gliding..], row[gliding..], to);
            }
        }
        glideDone += gliding;
    }

    /// <summary>Ends a glide at its target; there is no past to forget beside that.</summary>
    public void Reset() => glideDone = glideFrames;

    // The library's search for another value makes itself a comparer the first time that anybody asks.
    private static bool AreAllZero(ReadOnlySpan<float> gains)
    {
        foreach (var gain in gains)
        {
            if (gain != 0)
                return false;
        }
        return true;
    }

    private static void AddSteady(ReadOnlySpan<float> source, Span<float> sum, float gain)
    {
        var from = MemoryMarshal.Cast<float, Vector<float>>(source);
        var to = MemoryMarshal.Cast<float, Vector<float>>(sum[..source.Length]);
        var factor = new Vector<float>(gain);
        for (var i = 0; i < from.Length; i++)
            to[i] = Vector.FusedMultiplyAdd(from[i], factor, to[i]);
        for (var n = from.Length * Vector<float>.Count; n < source.Length; n++)
            sum[n] = float.FusedMultiplyAdd(source[n], gain, sum[n]);
    }

    // The gain after n frames of the glide is from + n·step: by index, not by running sum, so that no rounding piles up and
    // a block border changes nothing.
    private static void AddGliding(ReadOnlySpan<float> source, Span<float> sum, float from, float step, int done)
    {
        var count = Vector<float>.Count;
        var blocks = MemoryMarshal.Cast<float, Vector<float>>(source);
        var to = MemoryMarshal.Cast<float, Vector<float>>(sum[..source.Length]);
        var first = new Vector<float>(from);
        var slope = new Vector<float>(step);
        for (var i = 0; i < blocks.Length; i++)
        {
            var gain = Vector.FusedMultiplyAdd(Vector.ConvertToSingle(Vector.CreateSequence(done + i * count + 1, 1)), slope, first);
            to[i] = Vector.FusedMultiplyAdd(blocks[i], gain, to[i]);
        }
        for (var n = blocks.Length * count; n < source.Length; n++)
            sum[n] = float.FusedMultiplyAdd(source[n], float.FusedMultiplyAdd(done + n + 1, step, from), sum[n]);
    }
}
