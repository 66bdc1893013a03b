using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Vst3.Effects;
using static CaptureProc.Plugins.Arrays.ArrayParameters;

namespace CaptureProc.Plugins.Arrays;

/// <summary>Carries the host's parameter lines to the engine's gains, to within a few frames.</summary>
/// <remarks>
/// Thread: Prepare [main], the rest [audio]. Allocates: in Prepare only.
/// Moving values are taken every <see cref="StepFrames"/> frames and joined by straight lines of gain. A switch (trim set,
/// polarity, format, bypass) glides over <see cref="SwitchSeconds"/>, long enough not to click.
/// </remarks>
internal sealed class ArrayControls
{
    // 32 frames are 0.7 ms at 48 kHz: a line of dB drawn this finely differs from the exact curve by less than 0.001 dB
    // at any speed a hand or an automation lane draws.
    private const int StepFrames = 32;
    private const double SwitchSeconds = 0.02;

    private static readonly int[] Lines = [Trim, Trim + 1, Trim + 2, Trim + 3, Yaw, Pitch, Roll, OutputGain];

    private readonly float[] values = new float[Lines.Length];
    private readonly float[] applied = new float[Lines.Length];
    private readonly float[] gains = new float[4];
    private float[] rows = [];
    private int stride, switchFrames, switchLeft;
    private bool moving, fresh;
    private Switches wanted, current;
    private TrimTable trims = TrimTable.AsRecorded;

    public void Prepare(double sampleRateHz, int maxBlockFrames)
    {
        stride = maxBlockFrames;
        rows = new float[Lines.Length * stride];
        switchFrames = (int)(SwitchSeconds * sampleRateHz);
        Restart();
    }

    /// <summary>The next values are taken at once, without a glide.</summary>
    public void Restart() => (fresh, switchLeft) = (true, 0);

    /// <summary>Reads the lines of one block.</summary>
    public void Read(ParameterLines lines, int frames, TrimTable trims)
    {
        moving = false;
        for (var i = 0; i < Lines.Length; i++)
        {
            var row = rows.AsSpan(i * stride, frames);
            if (lines.IsMoving(Lines[i]))
            {
                lines.Fill(Lines[i], row);
                moving = true;
            }
            else
            {
                row[^1..].Fill((float)lines.Plain(Lines[i]));
                values[i] = row[^1];
            }
        }
        if (moving)
        {
            for (var i = 0; i < Lines.Length; i++)
                if (!lines.IsMoving(Lines[i]))
                    rows.AsSpan(i * stride, frames).Fill(values[i]);
        }
        wanted = new Switches(
            trims, (int)lines.Plain(TrimChoice), lines.Plain(LevelMatch) >= 0.5, PolarityBits(lines),
            lines.Plain(Format) >= 0.5 ? FieldFormat.FuMa : FieldFormat.AmbiX, lines.Plain(Bypass) >= 0.5);
    }

    /// <summary>Sends the engine's gains on their way and says for how many frames they hold.</summary>
    public int Apply(ArrayEngine engine, int done, int left)
    {
        var frames = moving ? Math.Min(StepFrames, left) : left;
        for (var i = 0; i < Lines.Length; i++)
            values[i] = rows[i * stride + done + frames - 1];
        var switched = wanted != current;
        if (fresh || switched || !values.AsSpan().SequenceEqual(applied))
        {
            if (switched && !fresh)
                switchLeft = switchFrames;
            // A line that moves during a switch must not hurry it: the glide goes on for what the switch has left.
            var glide = fresh ? 0 : Math.Max(switchLeft, moving ? frames : switched ? switchFrames : StepFrames);
            Send(engine, glide);
            values.CopyTo(applied, 0);
            (current, fresh) = (wanted, false);
        }
        switchLeft = Math.Max(0, switchLeft - frames);
        return frames;
    }

    private void Send(ArrayEngine engine, int glideFrames)
    {
        trims = wanted.Trims;
        var set = trims.Db(wanted.TrimSet);
        Span<float> totalDb = stackalloc float[4];
        for (var i = 0; i < 4; i++)
            totalDb[i] = set[i] + values[i];
        var matchDb = wanted.LevelMatch ? TrimTable.MatchingDb(totalDb) : 0;
        for (var i = 0; i < 4; i++)
            gains[i] = Linear(totalDb[i] + matchDb) * ((wanted.Polarity >> i & 1) == 0 ? 1 : -1);
        engine.SetCapsuleGains(gains, glideFrames);
        engine.SetField(
            Rotation3D.FromYawPitchRollDeg(values[4], values[5], values[6]), wanted.Format, Linear(values[7]), wanted.Bypass, glideFrames);
    }

    private static int PolarityBits(ParameterLines lines)
    {
        var bits = 0;
        for (var i = 0; i < 4; i++)
            bits |= lines.Plain(Polarity + i) >= 0.5 ? 1 << i : 0;
        return bits;
    }

    private static float Linear(float db) => db == 0 ? 1 : (float)Math.Pow(10, db / 20);

    private readonly record struct Switches(TrimTable Trims, int TrimSet, bool LevelMatch, int Polarity, FieldFormat Format, bool Bypass);
}
