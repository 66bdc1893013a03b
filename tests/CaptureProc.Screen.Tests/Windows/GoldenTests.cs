using CaptureProc.Screen.Drawing;
using CaptureProc.Testing;

namespace CaptureProc.Screen.Tests.Windows;

/// <summary>Every window looks as it did when somebody looked at it last.</summary>
/// <remarks>
/// Golden/ holds the pictures; tests/window-pictures makes them anew. What is compared is the mean over squares of 8 by 8 pixels: letters may sit a
/// hair differently from machine to machine, and what workers bring may come a block later, but nothing may move, vanish or change its colour.
/// </remarks>
[Collection("windows")]
public sealed class GoldenTests
{
    private const int Square = 8;

    // Of 255; a square that gains or loses a third of a thin letter differs by about as much.
    private const double LargestDifference = 26, MeanDifference = 1.2;

    public static TheoryData<string> Names => [.. WindowScenes.Names];

    [Theory]
    [MemberData(nameof(Names))]
    public void AWindowLooksLikeItsGoldenPicture(string name)
    {
        using var studio = WindowScenes.At(name);
        var output = Directory.CreateDirectory(Path.Combine(AppContext.BaseDirectory, "pictures")).FullName;
        studio.Picture.Save(Path.Combine(output, name + ".png"));
        using var golden = Picture.Load(Path.Combine(AppContext.BaseDirectory, "Golden", name + ".png"));
        Assert.Equal((golden.Width, golden.Height), (studio.Picture.Width, studio.Picture.Height));
        var (sum, squares, far) = (0.0, 0, 0);
        for (var y = 0; y + Square <= golden.Height; y += Square)
            for (var x = 0; x + Square <= golden.Width; x += Square)
            {
                var difference = Difference(studio.Picture, golden, x, y);
                sum += difference;
                squares++;
                far += difference > LargestDifference ? 1 : 0;
            }
        Assert.True(sum / squares < MeanDifference, $"{name}: squares differ by {sum / squares:F2} in the mean; compare {output} with Golden.");
        Assert.True(far <= squares / 100, $"{name}: {far} of {squares} squares look different; compare {output} with Golden.");
    }

    [Fact]
    public void ADifferentWindowIsNotMistakenForTheGoldenOne()
    {
        // The measure itself: the same window with another palette, and with one control moved, is told apart.
        using var usual = Picture.Load(Path.Combine(AppContext.BaseDirectory, "Golden", "array.png"));
        using var high = Picture.Load(Path.Combine(AppContext.BaseDirectory, "Golden", "array-high-contrast.png"));
        var far = 0;
        for (var y = 0; y + Square <= usual.Height; y += Square)
            for (var x = 0; x + Square <= usual.Width; x += Square)
                far += Difference(usual, high, x, y) > LargestDifference ? 1 : 0;
        Assert.True(far > usual.Width * usual.Height / (Square * Square) / 100);
    }

    private static double Difference(Picture a, Picture b, int left, int top)
    {
        Span<double> sums = stackalloc double[3];
        for (var y = top; y < top + Square; y++)
        {
            var p = a.Row(y).Slice(left, Square);
            var q = b.Row(y).Slice(left, Square);
            for (var x = 0; x < Square; x++)
                for (var c = 0; c < 3; c++)
                    sums[c] += (int)(p[x] >> (8 * c) & 0xFF) - (int)(q[x] >> (8 * c) & 0xFF);
        }
        return (Math.Abs(sums[0]) + Math.Abs(sums[1]) + Math.Abs(sums[2])) / (3 * Square * Square);
    }
}
