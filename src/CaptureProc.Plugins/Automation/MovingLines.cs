using CaptureProc.Dsp.RealTime;
using CaptureProc.Vst3.Effects;

namespace CaptureProc.Plugins.Automation;

/// <summary>The host's lines of some parameters, walked through a block in short steps.</summary>
/// <remarks>
/// Thread: Prepare [main], the rest [audio]. Allocates: in Prepare only.
/// While anything moves, values are taken every <see cref="StepFrames"/> frames, counted from the start of the block; otherwise a
/// block is one step.
/// </remarks>
internal sealed class MovingLines(params int[] parameters)
{
    /// <summary>
    /// 32 frames are 0.7 ms at 48 kHz: a line of dB drawn by straight lines of gain as short as this differs from the exact curve
    /// by less than 0.001 dB at any speed that a hand or an automation lane draws.
    /// </summary>
    public const int StepFrames = 32;

    private readonly float[] values = new float[parameters.Length];
    private float[] rows = [];
    private int stride;
    private int blockFrames;

    public bool IsMoving { get; private set; }

    /// <summary>Frames from where the current step begins to where its values are reached, also where a switch ends the step before.</summary>
    public int GlideFrames { get; private set; }

    /// <summary>The values to be reached, in the order of the parameters.</summary>
    public ReadOnlySpan<float> Values => values;

    public void Prepare(int maxBlockFrames)
    {
        stride = maxBlockFrames;
        rows = FlatArray.New<float>(parameters.Length * stride);
    }

    /// <summary>Reads the lines of one block of at least one frame.</summary>
    public void Read(ParameterLines lines, int frames)
    {
        blockFrames = frames;
        IsMoving = false;
        foreach (var parameter in parameters)
            IsMoving |= lines.IsMoving(parameter);
        for (var i = 0; i < parameters.Length; i++)
        {
            var row = rows.AsSpan(i * stride, frames);
            if (lines.IsMoving(parameters[i]))
                lines.Fill(parameters[i], row);
            else if (IsMoving)
                row.Fill((float)lines.Plain(parameters[i]));
            else
                row[^1] = (float)lines.Plain(parameters[i]);
        }
    }

    /// <summary>Begins the next step and says how many of the frames that are left it has.</summary>
    public int Step(int done, int left)
    {
        var nextStep = done - done % StepFrames + StepFrames;
        var end = IsMoving ? Math.Min(nextStep, blockFrames) : blockFrames;
        for (var i = 0; i < values.Length; i++)
            values[i] = rows[i * stride + end - 1];
        // A line that has come to rest on the border of two blocks has its last bit still to go.
        GlideFrames = (IsMoving ? end : nextStep) - done;
        return Math.Min(end - done, left);
    }
}
