using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Dsp.Matrix;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Listening;

/// <summary>Turns a sound field, and moves smoothly from one turn to the next.</summary>
/// <remarks>
/// Thread: constructor [main], the rest [audio]. Allocates: in the constructor only. In place: yes. Latency: none.
/// Shape:  (order+1)² channels in and out, ACN, SN3D, blocks of up to MaxBlockFrames. A source at u stands at R·u afterwards.
/// Motion: the field follows the wanted turn on the shortest way, as a low-pass of 10 ms would; nothing jumps, and a turn by 180
/// degrees passes through real turns, where a crossfade of the two ends would pass through a hole. The turn is computed
/// anew every 2/3 ms and its gains run in straight lines in between: at a turn of one revolution a second that is a quarter of
/// a degree, and the straight line leaves the arc of a first-order channel by 2 millionths.
/// Blocks: the steps are counted in frames from the moment a motion begins, however the stream is cut.
/// </remarks>
public sealed class FieldTurner
{
    private const double StepSeconds = 1.0 / 1500;
    private const double TimeConstantSeconds = 0.01;

    // Far below what anybody hears or a head tracker resolves.
    private const double ArrivedDeg = 0.001;

    private readonly int order;
    private readonly int stepFrames;
    private readonly double shareOfStep;
    private readonly GainMatrix matrix;
    private readonly double[] rotation;
    private readonly float[] gains;
    private Rotation3D present = Rotation3D.Identity;
    private Rotation3D wanted = Rotation3D.Identity;
    private int framesToStep;

    public FieldTurner(int order, double sampleRateHz, int maxBlockFrames)
    {
        var channels = SphericalHarmonics.ChannelCount(order);
        this.order = order;
        stepFrames = Math.Max(1, (int)Math.Round(StepSeconds * sampleRateHz));
        shareOfStep = 1 - Math.Exp(-stepFrames / (TimeConstantSeconds * sampleRateHz));
        matrix = new GainMatrix(channels, channels, maxBlockFrames);
        (rotation, gains) = (new double[channels * channels], new float[channels * channels]);
        Glide(0);
    }

    public int MaxBlockFrames => matrix.MaxBlockFrames;

    /// <summary>Where the field is on its way to.</summary>
    public Rotation3D Wanted => wanted;

    public void TurnTo(Rotation3D turn) => wanted = turn;

    /// <summary>Takes a turn at once: nothing sounds yet that it could tear.</summary>
    public void StandAt(Rotation3D turn)
    {
        wanted = turn;
        Reset();
    }

    public void Process(ReadOnlyPlanarSpan input, PlanarSpan output)
    {
        for (var done = 0; done < input.Frames;)
        {
            if (framesToStep == 0 && present != wanted)
            {
                var (_, leftDeg) = (wanted * present.Inverse()).ToAxisAngle();
                present = leftDeg < ArrivedDeg ? wanted : present.Towards(wanted, shareOfStep);
                Glide(stepFrames);
                framesToStep = stepFrames;
            }
            var frames = framesToStep == 0 ? input.Frames - done : Math.Min(framesToStep, input.Frames - done);
            matrix.Process(input.Slice(done, frames), output.Slice(done, frames));
            framesToStep = Math.Max(0, framesToStep - frames);
            done += frames;
        }
    }

    /// <summary>Stands still at the wanted turn.</summary>
    public void Reset()
    {
        present = wanted;
        framesToStep = 0;
        Glide(0);
        matrix.Reset();
    }

    private void Glide(int frames)
    {
        FieldRotation.Fill(present, order, rotation);
        for (var i = 0; i < gains.Length; i++)
            gains[i] = (float)rotation[i];
        matrix.GlideTo(gains, frames);
    }
}
