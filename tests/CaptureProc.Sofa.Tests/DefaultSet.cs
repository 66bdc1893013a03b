using CaptureProc.Dsp.Binaural;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Sofa.Tests;

/// <summary>The set that is shipped, read once.</summary>
internal static class DefaultSet
{
    public static readonly string Path = System.IO.Path.Combine(AppContext.BaseDirectory, "measured-mannequin.sofa");

    private static readonly Lazy<HeadResponses> head = new(() => SofaFile.Read(Path));

    public static HeadResponses Head => head.Value;

    public static int IndexOf(double azimuthDeg, double elevationDeg)
    {
        for (var i = 0; i < Head.Directions.Count; i++)
            if (Direction.AngleBetweenDeg(Head.Directions[i], new Direction(azimuthDeg, elevationDeg)) < 0.1)
                return i;
        throw new ArgumentException($"The set has no direction {azimuthDeg}, {elevationDeg}.");
    }
}
