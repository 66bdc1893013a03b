using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Binaural;
using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Delay;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Dsp.Matrix;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Listening;

/// <summary>Listens to a sound field in real time: turns it against the listener's head, then makes two channels of it.</summary>
/// <remarks>
/// Thread: constructor and Publish [main], the rest [audio]. Allocates: in the constructor and in Publish only. In place: yes.
/// Shape:  (order+1)² channels in, ACN, SN3D; left and right out.
/// Ways:   through a head; by plain gains from the first four channels of the turned field (a coincident pair); by plain gains
///         from the first four channels as they come in (capsules, a bypass). Each has gains that glide, so ways can be mixed.
/// Latency: LatencyFrames, the same for a rate and an order whatever is listened through: the 1 ms of the decoder, and where a
///         convolution in the time domain would cost too much, 2/3 ms more. The plain ways are delayed to match.
/// </remarks>
public sealed class FieldListener : IPlanarProcessor
{
    private const int PlainInputs = 4;
    private const int Ears = 2;

    private readonly double sampleRateHz;
    private readonly FieldTurner turner;
    private readonly EarConvolver head;
    private readonly GainMatrix headGains;
    private readonly FrameDelay turnedDelay;
    private readonly FrameDelay straightDelay;
    private readonly GainMatrix turnedGains;
    private readonly GainMatrix straightGains;
    private readonly AlignedBuffer<float> input, turned, late, ears;

    /// <param name="filter">The head to begin with; later ones have its channels, length and latency.</param>
    /// <param name="sampleRateHz">Of the stream.</param>
    /// <param name="maxBlockFrames">The longest block that Process will be given.</param>
    public FieldListener(MatrixFilter filter, double sampleRateHz, int maxBlockFrames)
        : this(new EarFilter(filter, sampleRateHz), sampleRateHz, maxBlockFrames)
    {
    }

    /// <param name="filter">The head to begin with, ready made for the rate and perhaps shared; later ones have its channels, length and latency.</param>
    /// <param name="sampleRateHz">Of the stream.</param>
    /// <param name="maxBlockFrames">The longest block that Process will be given.</param>
    public FieldListener(EarFilter filter, double sampleRateHz, int maxBlockFrames)
    {
        ArgumentNullException.ThrowIfNull(filter);
        ArgumentOutOfRangeException.ThrowIfLessThan(maxBlockFrames, 1);
        var order = (int)Math.Round(Math.Sqrt(filter.Inputs)) - 1;
        if (order < 1 || filter.Inputs != SphericalHarmonics.ChannelCount(order))
            throw new ArgumentException($"A field has 4, 9 or 16 channels, not {filter.Inputs}.", nameof(filter));
        (Inputs, MaxBlockFrames, this.sampleRateHz) = (filter.Inputs, maxBlockFrames, sampleRateHz);
        turner = new FieldTurner(order, sampleRateHz, maxBlockFrames);
        head = new EarConvolver(filter, maxBlockFrames);
        headGains = new GainMatrix(Ears, Ears, maxBlockFrames);
        (turnedGains, straightGains) = (new GainMatrix(Ears, PlainInputs, maxBlockFrames), new GainMatrix(Ears, PlainInputs, maxBlockFrames));
        turnedDelay = new FrameDelay(PlainInputs, head.LatencyFrames, maxBlockFrames);
        straightDelay = new FrameDelay(PlainInputs, head.LatencyFrames, maxBlockFrames);
        (input, turned) = (new AlignedBuffer<float>(Inputs * maxBlockFrames), new AlignedBuffer<float>(Inputs * maxBlockFrames));
        (late, ears) = (new AlignedBuffer<float>(PlainInputs * maxBlockFrames), new AlignedBuffer<float>(Ears * maxBlockFrames));
        SetWays(1, [], [], 0);
    }

    public int Inputs { get; }

    public int Outputs => Ears;

    public int MaxBlockFrames { get; }

    public int LatencyFrames => head.LatencyFrames;

    /// <summary>What LatencyFrames will be with a binaural decoder of an order at a rate. [any]</summary>
    public static int LatencyFramesOf(int order, double sampleRateHz) => BinauralDecoder.LatencyFrames(sampleRateHz)
        + EarFilter.BlockFrames(SphericalHarmonics.ChannelCount(order), BinauralDecoder.TapCount(sampleRateHz), sampleRateHz);

    /// <summary>[main] Fades over to another head.</summary>
    public void Publish(MatrixFilter filter) => Publish(new EarFilter(filter, sampleRateHz));

    /// <summary>[main] Fades over to another head, ready made.</summary>
    public void Publish(EarFilter filter) => head.Publish(filter);

    /// <summary>The listener turns: the field turns the other way, smoothly.</summary>
    public void TurnListenerTo(Rotation3D turn) => turner.TurnTo(turn.Inverse());

    /// <summary>The listener has turned already: nothing moves from here to there.</summary>
    public void StandAt(Rotation3D turn) => turner.StandAt(turn.Inverse());

    /// <summary>Sends the gains of the ways to new values.</summary>
    /// <param name="throughHead">Gain of the head.</param>
    /// <param name="fromTurned">From the first four channels of the turned field to left, then to right; empty for none.</param>
    /// <param name="fromStraight">The same from the channels as they come in; empty for none.</param>
    /// <param name="glideFrames">How long it takes; 0 for at once.</param>
    public void SetWays(float throughHead, ReadOnlySpan<float> fromTurned, ReadOnlySpan<float> fromStraight, int glideFrames)
    {
        ReadOnlySpan<float> none = stackalloc float[Ears * PlainInputs];
        headGains.GlideTo([throughHead, 0, 0, throughHead], glideFrames);
        turnedGains.GlideTo(fromTurned.IsEmpty ? none : fromTurned, glideFrames);
        straightGains.GlideTo(fromStraight.IsEmpty ? none : fromStraight, glideFrames);
    }

    public void Process(ReadOnlyPlanarSpan input, PlanarSpan output)
    {
        BlockShape.Check(this, input, output);
        var frames = input.Frames;
        // All inputs are taken before the first output is written: they may be the same memory.
        var straight = new PlanarSpan(this.input.Span, Inputs, frames, MaxBlockFrames);
        var usable = SampleGuard.IsUsable(input);
        for (var channel = 0; channel < Inputs; channel++)
        {
            if (usable)
                SampleGuard.CopyFlushed(input[channel], straight[channel]);
            else
                straight[channel].Clear();
        }
        var field = new PlanarSpan(turned.Span, Inputs, frames, MaxBlockFrames);
        turner.Process(straight, field);
        head.Process(field, output);
        headGains.Process(output, output);
        AddPlain(turned, turnedDelay, turnedGains, output);
        AddPlain(this.input, straightDelay, straightGains, output);
    }

    public void Reset()
    {
        turner.Reset();
        head.Reset();
        headGains.Reset();
        turnedDelay.Reset();
        straightDelay.Reset();
        turnedGains.Reset();
        straightGains.Reset();
    }

    /// <summary>Stands still at the wanted turn, with the newest head and gains: nothing sounds yet that a change could tear.</summary>
    public void Settle()
    {
        turner.Reset();
        head.Settle();
        headGains.Reset();
        turnedGains.Reset();
        straightGains.Reset();
    }

    private void AddPlain(AlignedBuffer<float> channels, FrameDelay delay, GainMatrix gains, PlanarSpan output)
    {
        var delayed = new PlanarSpan(late.Span, PlainInputs, output.Frames, MaxBlockFrames);
        var heard = new PlanarSpan(ears.Span, Ears, output.Frames, MaxBlockFrames);
        delay.Process(new PlanarSpan(channels.Span, PlainInputs, output.Frames, MaxBlockFrames), delayed);
        if (gains.IsSilent)
            return;
        gains.Process(delayed, heard);
        for (var ear = 0; ear < Ears; ear++)
            SampleSum.Add(heard[ear], output[ear]);
    }
}
