using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Convolution;

namespace CaptureProc.Dsp.Listening;

/// <summary>The quick check while recording: two capsules of the array, one to each side.</summary>
/// <param name="Left">Capsule that is heard on the left, counted from 0 in the order of the array's channels.</param>
/// <param name="Right">Capsule that is heard on the right.</param>
public readonly record struct CapsulePair(int Left, int Right)
{
    /// <summary>The two different capsules that look most to the front left and the front right of the room.</summary>
    public static CapsulePair OfFront(CapsuleArray array)
    {
        var look = array.LookDirections();
        var (best, bestScore) = (new CapsulePair(0, 1), double.NegativeInfinity);
        for (var left = 0; left < look.Length; left++)
        {
            for (var right = 0; right < look.Length; right++)
            {
                var score = look[left].X + look[left].Y + look[right].X - look[right].Y;
                // More than rounding, so that the first of equals stays.
                if (left != right && score > bestScore + 1e-9)
                    (best, bestScore) = (new CapsulePair(left, right), score);
            }
        }
        return best;
    }

    /// <summary>The pair as a filter out of the A-format.</summary>
    /// <param name="capsules">Channels of the A-format.</param>
    /// <param name="trimDb">The dB to add to each capsule.</param>
    public MatrixFilter ToFilter(int capsules, ReadOnlySpan<double> trimDb)
    {
        var filter = new MatrixFilter(2, capsules, 1, 0);
        filter.Taps(0, Left)[0] = (float)Math.Pow(10, trimDb[Left] / 20);
        filter.Taps(1, Right)[0] = (float)Math.Pow(10, trimDb[Right] / 20);
        return filter;
    }
}
