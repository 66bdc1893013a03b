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

    private readonly MovingLines lines = new(Trim, Trim + 1, Trim + 2, Trim + 3, Yaw, Pitch, Roll, OutputGain);
    private readonly float[] applied = new float[8];
    private readonly float[] gains = new float[4];
    private GlideClock clock;
    private Switches wanted, current;

    public void Prepare(double sampleRateHz, int maxBlockFrames)
    {
        lines.Prepare(maxBlockFrames);
        clock = new GlideClock(sampleRateHz);
    }

    /// <summary>The next values are taken at once, without a glide.</summary>
    public void Restart() => clock.Restart();

    /// <summary>Reads the parameters of one block.</summary>
    public void Read(ParameterLines parameters, int frames, TrimTable trims)
    {
        lines.Read(parameters, frames);
        var polarity = 0;
        for (var i = 0; i < 4; i++)
            polarity |= parameters.Plain(Polarity + i) >= 0.5 ? 1 << i : 0;
        var isKept = parameters.Plain(LineUpParameters.TrimsFrom) >= LineUpParameters.FromKeptLineUp;
        wanted = new Switches(
            trims, isKept ? TrimTable.Kept : (int)parameters.Plain(TrimChoice), parameters.Plain(LevelMatch) >= 0.5, polarity,
            parameters.Plain(Format) >= 0.5 ? FieldFormat.FuMa : FieldFormat.AmbiX, parameters.Plain(Bypass) >= 0.5);
    }

    /// <summary>Sends the engine's gains on their way and says for how many frames they hold.</summary>
    public int Apply(ArrayEngine engine, int done, int left)
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

    private void Send(ArrayEngine engine, int glideFrames)
    {
        var values = lines.Values;
        var set = wanted.Trims.Db(wanted.TrimSet);
        Span<float> totalDb = stackalloc float[4];
        for (var i = 0; i < 4; i++)
            totalDb[i] = set[i] + values[i];
        var matchDb = wanted.LevelMatch ? TrimTable.MatchingDb(totalDb) : 0;
        for (var i = 0; i < 4; i++)
            gains[i] = Decibel.ToLinear(totalDb[i] + matchDb) * ((wanted.Polarity >> i & 1) == 0 ? 1 : -1);
        engine.SetCapsuleGains(gains, glideFrames);
        engine.SetField(
            Rotation3D.FromYawPitchRollDeg(values[YawLine], values[PitchLine], values[RollLine]),
            wanted.Format, Decibel.ToLinear(values[GainLine]), wanted.Bypass, glideFrames);
    }

    private readonly record struct Switches(TrimTable Trims, int TrimSet, bool LevelMatch, int Polarity, FieldFormat Format, bool Bypass);
}
