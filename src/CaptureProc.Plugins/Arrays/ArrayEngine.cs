using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Delay;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Dsp.Matrix;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Plugins.Arrays;

/// <summary>The sound of the array plug-in: trims, the encoder's filters, a turn of the field, its format, and a bypass.</summary>
/// <remarks>
/// Thread: constructor and Publish [main] or the shared worker; everything else [audio]. Allocates: in the constructor only.
/// Shape:   four capsules in, ACN 0…3 out (or FuMa W X Y Z), any block up to MaxBlockFrames, in place or not.
/// Latency: LatencyFrames, whatever is set, bypass included.
/// What can move while it plays is a gain and glides; what changes the filters is designed elsewhere and crossfaded.
/// </remarks>
public sealed class ArrayEngine
{
    private const int Channels = 4;

    private readonly EncoderFilter first;
    private readonly GainMatrix capsules;
    private readonly GainMatrix mixer;
    private readonly SplitMatrixConvolver encoder;
    private readonly FirstOutputProbe probe;
    private readonly GainMatrix field;
    private readonly FrameDelay dry;
    private readonly GainMatrix through;
    private readonly float[] trimmedRows, fieldRows, dryRows;
    private readonly double[] turnMatrix = new double[Channels * Channels];
    private readonly float[] gains = new float[Channels * Channels];
    private readonly int stride;
    private volatile FirstOutputFilter intoW;
    private bool bypassed;

    /// <param name="filter">The encoder to begin with; its latency is the engine's for life.</param>
    /// <param name="maxBlockFrames">The longest block.</param>
    /// <param name="crossfadeFrames">How long a change of filters takes.</param>
    /// <param name="sampleRateHz">Of the stream.</param>
    public ArrayEngine(EncoderFilter filter, int maxBlockFrames, int crossfadeFrames, double sampleRateHz)
    {
        first = filter;
        mixer = new GainMatrix(Channels, Channels, maxBlockFrames);
        mixer.GlideTo(filter.Mix, 0);
        encoder = new SplitMatrixConvolver(filter.Filter, maxBlockFrames, filter.LongestTapCount, crossfadeFrames);
        probe = new FirstOutputProbe(Channels, FirstOutputProbe.Interval, filter.LongestTapCount);
        intoW = filter.IntoW;
        CapsulePower = new SumPower(sampleRateHz * FirstOutputProbe.Frames / FirstOutputProbe.Interval);
        capsules = new GainMatrix(Channels, Channels, maxBlockFrames);
        field = new GainMatrix(Channels, Channels, maxBlockFrames);
        through = new GainMatrix(Channels, Channels, maxBlockFrames);
        dry = new FrameDelay(Channels, filter.LatencyFrames, maxBlockFrames);
        stride = maxBlockFrames;
        trimmedRows = FlatArray.New<float>(Channels * stride);
        fieldRows = FlatArray.New<float>(Channels * stride);
        dryRows = FlatArray.New<float>(Channels * stride);
    }

    public int LatencyFrames => encoder.LatencyFrames;

    public int MaxBlockFrames => stride;

    /// <summary>What the capsules, as they come in, would add to W: over the last seconds. [audio]</summary>
    public SumPower CapsulePower { get; }

    /// <summary>Fades over to another encoder. [main] or the shared worker, one at a time.</summary>
    public void Publish(EncoderFilter filter)
    {
        encoder.Publish(filter.Behind(first));
        intoW = filter.IntoW;
    }

    /// <summary>Sends the gain of each capsule to a new value; a negative one inverts.</summary>
    public void SetCapsuleGains(ReadOnlySpan<float> linear, int glideFrames)
    {
        gains.AsSpan().Clear();
        for (var i = 0; i < Channels; i++)
            gains[i * Channels + i] = linear[i];
        capsules.GlideTo(gains, glideFrames);
    }

    /// <summary>Sends the field's turn, format and gain to new values.</summary>
    public void SetField(Rotation3D turn, FieldFormat format, float linearGain, bool bypass, int glideFrames)
    {
        FieldRotation.Fill(turn, 1, turnMatrix);
        for (var o = 0; o < Channels; o++)
        {
            var acn = format == FieldFormat.FuMa ? FuMaTable.AcnAtPosition(o) : o;
            var gain = bypass ? 0 : linearGain * (format == FieldFormat.FuMa ? FuMaTable.GainFromSN3D(acn) : 1);
            for (var i = 0; i < Channels; i++)
                gains[o * Channels + i] = (float)(gain * turnMatrix[acn * Channels + i]);
        }
        field.GlideTo(gains, glideFrames);

        gains.AsSpan().Clear();
        for (var i = 0; i < Channels; i++)
            gains[i * Channels + i] = bypass ? 1 : 0;
        through.GlideTo(gains, glideFrames);
        bypassed = bypass;
    }

    /// <summary>
    /// One block. <see cref="Trimmed"/> and <see cref="Field"/> give what passed inside it, for meters, until the next one.
    /// </summary>
    public void Process(ReadOnlyPlanarSpan input, PlanarSpan output)
    {
        var frames = input.Frames;
        var trimmed = new PlanarSpan(trimmedRows, Channels, frames, stride);
        var encoded = new PlanarSpan(fieldRows, Channels, frames, stride);
        var delayed = new PlanarSpan(dryRows, Channels, frames, stride);
        Listen(input);
        dry.Process(input, delayed);
        capsules.Process(input, trimmed);
        if (first.IsSparse)
        {
            mixer.Process(trimmed, encoded);
            encoder.Process(encoded, encoded);
        }
        else
        {
            encoder.Process(trimmed, encoded);
        }
        field.Process(encoded, output);
        if (!bypassed && !through.IsGliding)
            return;
        through.Process(delayed, delayed);
        for (var channel = 0; channel < Channels; channel++)
            SampleSum.Add(delayed[channel], output[channel]);
    }

    /// <summary>A capsule's signal after trim and polarity, in the block just processed.</summary>
    public ReadOnlySpan<float> Trimmed(int capsule, int frames) => trimmedRows.AsSpan(capsule * stride, frames);

    /// <summary>A channel of the encoded field (ACN, SN3D, before the turn), in the block just processed.</summary>
    public ReadOnlySpan<float> Field(int acn, int frames) => fieldRows.AsSpan(acn * stride, frames);

    /// <summary>Takes the newest encoder and gains at once: nothing sounds yet that a change could tear.</summary>
    public void Settle()
    {
        capsules.Reset();
        encoder.Settle();
        field.Reset();
        through.Reset();
    }

    private void Listen(ReadOnlyPlanarSpan input)
    {
        for (var done = 0; done < input.Frames; done += FirstOutputProbe.Interval)
            if (probe.Process(input.Slice(done, Math.Min(FirstOutputProbe.Interval, input.Frames - done)), intoW))
                CapsulePower.Add(probe.Parts);
    }

    public void Reset()
    {
        CapsulePower.Reset();
        probe.Reset();
        dry.Reset();
        capsules.Reset();
        encoder.Reset();
        field.Reset();
        through.Reset();
    }
}
