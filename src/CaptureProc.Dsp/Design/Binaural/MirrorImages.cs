using CaptureProc.Dsp.Binaural;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Dsp.Design.Binaural;

/// <summary>Finds out whether a set of responses is left-right symmetric.</summary>
/// <remarks>
/// Some sets were measured on one ear and mirrored. What is designed from them has to be symmetric to the last bit, else the
/// rounding of one side drives an iterative design away from the other and a frontal source wanders off the middle.
/// </remarks>
internal static class MirrorImages
{
    // Well below one step of 16 bits; a set that differs by more was measured on two ears and is left as it is.
    private const double ToleranceOfPeak = 1e-6;

    private const double ToleranceDeg = 0.01;

    /// <summary>For each chosen direction, which of the chosen ones is its mirror image; null where the set is not symmetric.</summary>
    public static int[]? Find(HeadResponses head, ReadOnlySpan<int> chosen)
    {
        var peak = 0f;
        foreach (var direction in chosen)
            foreach (var tap in head.Taps(direction, 0))
                peak = Math.Max(peak, Math.Abs(tap));

        var mirror = new int[chosen.Length];
        for (var i = 0; i < chosen.Length; i++)
        {
            mirror[i] = ImageOf(head, chosen, head.Directions[chosen[i]]);
            if (mirror[i] < 0 || !AreEqual(head, chosen[i], chosen[mirror[i]], ToleranceOfPeak * peak))
                return null;
        }
        return mirror;
    }

    /// <summary>Gives both of each pair the mean of their shares.</summary>
    public static void MakeEven(ReadOnlySpan<int> mirror, Span<double> shares)
    {
        for (var i = 0; i < mirror.Length; i++)
        {
            if (mirror[i] > i)
                shares[i] = shares[mirror[i]] = (shares[i] + shares[mirror[i]]) / 2;
        }
    }

    private static int ImageOf(HeadResponses head, ReadOnlySpan<int> chosen, Direction direction)
    {
        var wanted = new Direction(-direction.AzimuthDeg, direction.ElevationDeg);
        for (var i = 0; i < chosen.Length; i++)
            if (Direction.AngleBetweenDeg(head.Directions[chosen[i]], wanted) < ToleranceDeg)
                return i;
        return -1;
    }

    private static bool AreEqual(HeadResponses head, int direction, int image, double tolerance)
    {
        if (Math.Abs(head.DelaySamples(direction, 0) - head.DelaySamples(image, 1)) > ToleranceOfPeak)
            return false;
        var left = head.Taps(direction, 0);
        var right = head.Taps(image, 1);
        for (var n = 0; n < left.Length; n++)
            if (Math.Abs(left[n] - right[n]) > tolerance)
                return false;
        return true;
    }
}
