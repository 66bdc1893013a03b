using CaptureProc.Dsp.RealTime;
using CaptureProc.Vst3.Effects;

namespace CaptureProc.Plugins.Automation;

/// <summary>The host's stepped parameters (switches, lists), walked through a block from one change to the next.</summary>
/// <remarks>
/// Thread: Prepare [main], the rest [audio]. Allocates: in Prepare only.
/// A switch acts at the frame that the host gives for it. Were it read once a block, it would act up to a block early, and a
/// bounce in long blocks would differ from one in short blocks.
/// </remarks>
internal sealed class SwitchLines(params int[] parameters)
{
    private readonly int[] values = new int[parameters.Length];
    private readonly bool[] moving = new bool[parameters.Length];
    private float[] rows = [];
    private int stride;

    /// <summary>The values at the frame last gone to, in the order of the parameters.</summary>
    public ReadOnlySpan<int> Values => values;

    public void Prepare(int maxBlockFrames)
    {
        stride = maxBlockFrames;
        rows = FlatArray.New<float>(parameters.Length * stride);
    }

    /// <summary>Reads one block of at least one frame.</summary>
    public void Read(ParameterLines lines, int frames)
    {
        for (var i = 0; i < parameters.Length; i++)
        {
            moving[i] = lines.IsMoving(parameters[i]);
            if (moving[i])
                lines.Fill(parameters[i], rows.AsSpan(i * stride, frames));
            else
                values[i] = (int)lines.Plain(parameters[i]);
        }
    }

    /// <summary>Takes the values at a frame, and says for how many of the frames that are left they hold.</summary>
    public int Go(int frame, int left)
    {
        for (var i = 0; i < parameters.Length; i++)
        {
            if (!moving[i])
                continue;
            var row = rows.AsSpan(i * stride + frame, left);
            values[i] = (int)row[0];
            var same = 1;
            while (same < left && row[same] == row[0])
                same++;
            left = same;
        }
        return left;
    }
}
