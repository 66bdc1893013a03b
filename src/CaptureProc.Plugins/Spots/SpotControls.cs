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
    private const int PolaritySwitch = 0, BypassSwitch = 1, DelaySwitch = 2, DirectionSwitch = 3;

    private readonly SpotShape shape;
    private readonly MovingLines lines;
    private readonly SwitchLines switches;
    private readonly float[] applied;
    private readonly float[] gains;
    private readonly double[] harmonics;
    private SpotValues values = SpotValues.None;
    private GlideClock clock;
    private Switches wanted, current;

    public SpotControls(SpotShape shape, SpotParameters parameters, int maxBlockFrames)
    {
        this.shape = shape;
        // The lines of the delay are there for their steps; the delay itself is taken without a glide, since the engine fades.
        lines = shape.IsPlacing
            ? new MovingLines(Gain, DelayByHand, LaterBy, parameters.Azimuth, parameters.Elevation)
            : new MovingLines(Gain, DelayByHand, LaterBy);
        switches = shape.IsPlacing
            ? new SwitchLines(Polarity, Bypass, DelayFrom, parameters.DirectionFrom)
            : new SwitchLines(Polarity, Bypass, DelayFrom);
        lines.Prepare(maxBlockFrames);
        switches.Prepare(maxBlockFrames);
        applied = new float[lines.Values.Length];
        gains = new float[shape.Outputs * shape.Inputs];
        harmonics = new double[shape.Outputs];
        clock = new GlideClock(shape.SampleRateHz);
    }

    /// <summary>The delay that plays, in samples.</summary>
    public double DelaySamples { get; private set; }

    /// <summary>The next values are taken at once, without a glide.</summary>
    public void Restart() => clock.Restart();

    /// <summary>The delay in samples that given settings make.</summary>
    public static double DelayOf(SpotValues values, bool byHand, double byHandMs, double laterMs, double sampleRateHz)
    {
        var perMs = sampleRateHz / 1000;
        return (byHand ? byHandMs * perMs : values.DelaySamples) + laterMs * perMs;
    }

    /// <summary>Reads the parameters of one block, and the delay at its first frame.</summary>
    public void Read(ParameterLines given, int frames, SpotValues measured, SpotEngine engine)
    {
        values = measured;
        lines.Read(given, frames);
        switches.Read(given, frames);
        switches.Go(0, frames);
        TakeDelay(given, engine, 0);
    }

    /// <summary>Sends the engine's delay and gains on their way and says for how many frames they hold.</summary>
    public int Apply(ParameterLines given, SpotEngine engine, int done, int left)
    {
        left = switches.Go(done, left);
        TakeDelay(given, engine, done);
        var at = switches.Values;
        var polarity = at[PolaritySwitch] switch { Normal => 1, Inverted => -1, _ => values.Polarity };
        wanted = new Switches(polarity, values.Direction, shape.IsPlacing && at[DirectionSwitch] != 0, at[BypassSwitch] != 0);
        var frames = lines.Step(done, left);
        var switched = wanted != current;
        if (clock.IsFresh || switched || !lines.Values.SequenceEqual(applied))
        {
            Send(engine, clock.Begin(switched, lines.GlideFrames));
            lines.Values.CopyTo(applied);
            current = wanted;
        }
        clock.Advance(frames);
        return frames;
    }

    private void TakeDelay(ParameterLines given, SpotEngine engine, int frame)
    {
        DelaySamples = DelayOf(values, switches.Values[DelaySwitch] != 0, given.PlainAt(DelayByHand, frame), given.PlainAt(LaterBy, frame), shape.SampleRateHz);
        engine.SetDelay(DelaySamples);
    }

    private void Send(SpotEngine engine, int glideFrames)
    {
        var gain = Decibel.ToLinear(lines.Values[0]) * wanted.Polarity;
        gains.AsSpan().Clear();
        if (shape.IsPlacing)
        {
            var direction = wanted.DirectionByHand ? new Direction(lines.Values[3], lines.Values[4]) : wanted.Measured;
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
