using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Simulation.Acoustics;

// Walls that are no mirrors: part of every reflection comes a little later from somewhere near, in pieces.
public static partial class ImageField
{
    private const int PiecesPerReflection = 6;

    // Relief of some decimetres spreads a reflection over some milliseconds (common practice, no source).
    private const double MeanLagSeconds = 0.003;

    // The pieces come from within some tens of degrees of the mirror image.
    private const double SpreadOfDirection = 0.6;

    /// <summary>Takes the scattered share out of every mirror image and adds it as pieces; the energy stays.</summary>
    private static void Scatter(Room room, Vector3D place, double seconds, SeededRandom chance, List<ImageSource> images)
    {
        var mirrored = images.Count;
        var c = room.SpeedOfSoundMps;
        for (var i = 1; i < mirrored; i++)
        {
            var image = images[i];
            var path = image.PositionM - place;
            // One share a bounce; the number of bounces goes with the distance.
            var bounces = Math.Max(1, path.Length / room.MeanFreePathM);
            var kept = Math.Pow(1 - room.WallScattering, bounces);
            images[i] = image.Times(Math.Sqrt(kept));
            var share = Math.Sqrt((1 - kept) / PiecesPerReflection);
            for (var piece = 0; piece < PiecesPerReflection; piece++)
            {
                var distance = path.Length - c * MeanLagSeconds * Math.Log(1 - chance.Uniform());
                var off = SpreadOfDirection * new Vector3D(chance.Gaussian(), chance.Gaussian(), chance.Gaussian());
                var direction = (path.Normalised() + off).Normalised();
                if (distance < c * seconds)
                    // As strong as the image would be from there: the pressure at the place is image/path.Length.
                    images.Add((image with { PositionM = place + distance * direction })
                        .Times((chance.Chance(0.5) ? share : -share) * distance / path.Length));
            }
        }
    }
}
