using CaptureProc.Dsp.Geometry;
using CaptureProc.Dsp.Listening;
using CaptureProc.Plugins.Automation;
using CaptureProc.Vst3.Effects;
using static CaptureProc.Plugins.Listening.ListenParameters;

namespace CaptureProc.Plugins.Listening;

/// <summary>Carries the host's parameter lines to the listener's turn and to the gains of the ways of listening.</summary>
/// <remarks>Thread: Prepare [main], the rest [audio]. Allocates: in Prepare only.</remarks>
internal sealed class ListenControls(bool hasCapsules)
{
    private const int YawLine = 0, PitchLine = 1, RollLine = 2, AngleLine = 3, PatternLine = 4, AzimuthLine = 5, ElevationLine = 6, GainLine = 7;

    private readonly MovingLines lines = new(Yaw, Pitch, Roll, Angle, Pattern, AimAzimuth, AimElevation, Gain);
    private readonly SwitchLines switches = hasCapsules
        ? new SwitchLines(ListenAs, ListenParameters.Bypass, LeftCapsule, RightCapsule)
        : new SwitchLines(ListenAs, ListenParameters.Bypass);
    private readonly float[] applied = new float[8];
    private readonly float[] turned = new float[8];
    private readonly float[] straight = new float[8];
    private GlideClock clock;
    private Switches wanted, current;

    public void Prepare(double sampleRateHz, int maxBlockFrames)
    {
        lines.Prepare(maxBlockFrames);
        switches.Prepare(maxBlockFrames);
        clock = new GlideClock(sampleRateHz);
    }

    /// <summary>The next values are taken at once, without a glide.</summary>
    public void Restart() => clock.Restart();

    /// <summary>Reads the parameters of one block.</summary>
    public void Read(ParameterLines parameters, int frames)
    {
        lines.Read(parameters, frames);
        switches.Read(parameters, frames);
    }

    /// <summary>Sends the listener's turn and gains on their way and says for how many frames they hold.</summary>
    public int Apply(FieldListener listener, int done, int left)
    {
        left = switches.Go(done, left);
        var at = switches.Values;
        wanted = new Switches(at[0], at[1] != 0, hasCapsules ? at[2] : 0, hasCapsules ? at[3] : 0);
        var frames = lines.Step(done, left);
        var switched = wanted != current;
        if (clock.IsFresh || switched || !lines.Values.SequenceEqual(applied))
        {
            Turn(listener);
            Send(listener, clock.Begin(switched, lines.GlideFrames));
            lines.Values.CopyTo(applied);
            current = wanted;
        }
        clock.Advance(frames);
        return frames;
    }

    private void Turn(FieldListener listener)
    {
        var values = lines.Values;
        var turn = Rotation3D.FromYawPitchRollDeg(values[YawLine], values[PitchLine], values[RollLine]);
        if (clock.IsFresh)
            listener.StandAt(turn);
        else
            listener.TurnListenerTo(turn);
    }

    private void Send(FieldListener listener, int glideFrames)
    {
        var values = lines.Values;
        var gain = Decibel.ToLinear(values[GainLine]);
        turned.AsSpan().Clear();
        straight.AsSpan().Clear();
        if (wanted.Bypass)
        {
            // The channels that have an output, as they are.
            (straight[0], straight[5]) = (1, 1);
        }
        else if (wanted.Way == Pair)
        {
            new CoincidentPair(values[AngleLine], values[PatternLine], new Direction(values[AzimuthLine], values[ElevationLine])).FillGains(turned);
            foreach (ref var g in turned.AsSpan())
                g *= gain;
        }
        else if (wanted.Way == Capsules)
        {
            (straight[wanted.LeftCapsule], straight[4 + wanted.RightCapsule]) = (gain, gain);
        }
        listener.SetWays(!wanted.Bypass && wanted.Way == Binaural ? gain : 0, turned, straight, glideFrames);
    }

    private readonly record struct Switches(int Way, bool Bypass, int LeftCapsule, int RightCapsule);
}
