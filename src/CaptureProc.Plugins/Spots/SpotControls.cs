using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Plugins.Automation;
using CaptureProc.Vst3.Effects;
using static CaptureProc.Plugins.Spots.SpotParameters;

namespace CaptureProc.Plugins.Spots;

/// <summary>Carries the host's parameter lines and the session's values to a spot engine.</summary>
/// <remarks>Thread: constructor [main], the rest [audio]. Allocates: in the constructor only.</remarks>
internal sealed class SpotControls
{
    private readonly SpotShape shape;
    private readonly SpotParameters parameters;
    private readonly MovingLines lines;
    private readonly float[] applied;
    private readonly float[] gains;
    private readonly double[] harmonics;
    private GlideClock clock;
    private Switches wanted, current;

    public SpotControls(SpotShape shape, SpotParameters parameters, int maxBlockFrames)
    {
        (this.shape, this.parameters) = (shape, parameters);
        lines = shape.IsPlacing ? new MovingLines(Gain, parameters.Azimuth, parameters.Elevation) : new MovingLines(Gain);
        lines.Prepare(maxBlockFrames);
        applied = new float[lines.Values.Length];
        gains = new float[shape.Outputs * shape.Inputs];
        harmonics = new double[shape.Outputs];
        clock = new GlideClock(shape.SampleRateHz);
    }

    /// <summary>The delay that plays, in samples.</summary>
    public double DelaySamples { get; private set; }

    /// <summary>The next values are taken at once, without a glide.</summary>
    public void Restart() => clock.Restart();

    /// <summary>Reads the parameters of one block; the delay is taken here, once a block, and crossfaded by the engine.</summary>
    public void Read(ParameterLines given, int frames, SpotValues values, SpotEngine engine)
    {
        lines.Read(given, frames);
        var perMs = shape.SampleRateHz / 1000;
        DelaySamples = (given.Plain(DelayFrom) >= 0.5 ? given.Plain(DelayByHand) * perMs : values.DelaySamples) + given.Plain(LaterBy) * perMs;
        engine.SetDelay(DelaySamples);
        var polarity = (int)given.Plain(Polarity) switch { Normal => 1, Inverted => -1, _ => values.Polarity };
        var directionByHand = shape.IsPlacing && given.Plain(parameters.DirectionFrom) >= 0.5;
        wanted = new Switches(polarity, values.Direction, directionByHand, given.Plain(Bypass) >= 0.5);
    }

    /// <summary>Sends the engine's gains on their way and says for how many frames they hold.</summary>
    public int Apply(SpotEngine engine, int done, int left)
    {
        var frames = lines.Step(done, left);
        var switched = wanted != current;
        if (clock.IsFresh || switched || !lines.Values.SequenceEqual(applied))
        {
            Send(engine, clock.Begin(switched, lines.IsMoving, frames));
            lines.Values.CopyTo(applied);
            current = wanted;
        }
        clock.Advance(frames);
        return frames;
    }

    private void Send(SpotEngine engine, int glideFrames)
    {
        var gain = Decibel.ToLinear(lines.Values[0]) * wanted.Polarity;
        gains.AsSpan().Clear();
        if (shape.IsPlacing)
        {
            var direction = wanted.DirectionByHand ? new Direction(lines.Values[1], lines.Values[2]) : wanted.Measured;
            SphericalHarmonics.Evaluate(direction, harmonics);
            for (var i = 0; i < harmonics.Length; i++)
                gains[i] = (float)(gain * harmonics[i]);
        }
        else
        {
            for (var i = 0; i < shape.Inputs; i++)
                gains[i * shape.Inputs + i] = gain;
        }
        engine.SetPlacement(gains, wanted.Bypass, glideFrames);
    }

    private readonly record struct Switches(int Polarity, Direction Measured, bool DirectionByHand, bool Bypass);
}
