using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Plugins.Arrays.LineUp;
using CaptureProc.Plugins.Automation;
using CaptureProc.Vst3.Effects;
using static CaptureProc.Plugins.Arrays.ArrayParameters;

namespace CaptureProc.Plugins.Arrays;

/// <summary>Carries the host's parameter lines to the array engine's gains.</summary>
/// <remarks>Thread: Prepare [main], the rest [audio]. Allocates: in Prepare only.</remarks>
internal sealed class ArrayControls
{
    private const int YawLine = 4, PitchLine = 5, RollLine = 6, GainLine = 7;

    private const int ChoiceSwitch = 4, FromSwitch = 5, MatchSwitch = 6, FormatSwitch = 7, BypassSwitch = 8;
    private const int FirstSwitch = 9, SecondSwitch = 10, CompareSwitch = 11, EqualSwitch = 12;

    private readonly MovingLines lines = new(Trim, Trim + 1, Trim + 2, Trim + 3, Yaw, Pitch, Roll, OutputGain);
    private readonly SwitchLines switches = new(
        Polarity, Polarity + 1, Polarity + 2, Polarity + 3, TrimChoice, LineUpParameters.TrimsFrom, LevelMatch, Format, Bypass,
        CompareParameters.First, CompareParameters.Second, CompareParameters.Compare, CompareParameters.EqualLevel);
    private readonly TrimComparison comparison = new();
    private readonly float[] applied = new float[8];
    private readonly float[] gains = new float[4];
    private TrimTable trims = TrimTable.AsRecorded;
    private GlideClock clock;
    private Switches wanted, current;

    /// <summary>What equal level adds to the trims that play.</summary>
    public double AddedDb => comparison.AddedDb;

    public void Prepare(double sampleRateHz, int maxBlockFrames)
    {
        lines.Prepare(maxBlockFrames);
        switches.Prepare(maxBlockFrames);
        comparison.Prepare();
        clock = new GlideClock(sampleRateHz);
    }

    /// <summary>The next values are taken at once, without a glide.</summary>
    public void Restart() => clock.Restart();

    /// <summary>Reads the parameters of one block.</summary>
    public void Read(ParameterLines parameters, int frames, TrimTable table)
    {
        trims = table;
        lines.Read(parameters, frames);
        switches.Read(parameters, frames);
    }

    /// <summary>Sends the engine's gains on their way and says for how many frames they hold.</summary>
    public int Apply(ArrayEngine engine, int done, int left)
    {
        left = switches.Go(done, left);
        wanted = Take();
        var frames = lines.Step(done, left);
        var switched = !wanted.Equals(current);
        if (clock.IsFresh || switched || !lines.Values.SequenceEqual(applied))
        {
            Send(engine, clock.Begin(switched, lines.GlideFrames));
            lines.Values.CopyTo(applied);
            current = wanted;
        }
        clock.Advance(frames);
        return frames;
    }

    private Switches Take()
    {
        var at = switches.Values;
        var inverted = 0;
        for (var i = 0; i < 4; i++)
            inverted |= at[i] << i;
        var chosen = at[FromSwitch] == LineUpParameters.FromKeptLineUp ? TrimTable.Kept : TrimTable.PlaceOfChoice(at[ChoiceSwitch]);
        var ofTrims = new TrimSwitches(
            trims, at[FirstSwitch] == 0 ? chosen : at[FirstSwitch], at[SecondSwitch] == 0 ? chosen : at[SecondSwitch],
            at[CompareSwitch] != 0, at[EqualSwitch] != 0, at[MatchSwitch] != 0, inverted);
        return new Switches(ofTrims, at[FormatSwitch] != 0 ? FieldFormat.FuMa : FieldFormat.AmbiX, at[BypassSwitch] != 0);
    }

    private void Send(ArrayEngine engine, int glideFrames)
    {
        var values = lines.Values;
        comparison.Fill(wanted.Trims, values[..4], engine.CapsulePower, gains);
        engine.SetCapsuleGains(gains, glideFrames);
        engine.SetField(
            Rotation3D.FromYawPitchRollDeg(values[YawLine], values[PitchLine], values[RollLine]),
            wanted.Format, Decibel.ToLinear(values[GainLine]), wanted.Bypass, glideFrames);
    }

    private readonly record struct Switches(TrimSwitches Trims, FieldFormat Format, bool Bypass)
    {
        public bool Equals(Switches other) => Trims.Equals(other.Trims) && Format == other.Format && Bypass == other.Bypass;

        public override int GetHashCode() => HashCode.Combine(Trims, Format, Bypass);
    }
}
