using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Acoustics;

namespace CaptureProc.Simulation.Tests.Acoustics;

public sealed class RealRoomTests
{
    private static readonly Vector3D Size = new(16, 11, 6);
    private static readonly Vector3D Player = new(4, 3, 1.2), Stand = new(8, 6, 2);

    [Fact]
    public void EvenSurfacesGiveTheReverberationThatEyringAsksFor()
    {
        var wanted = new Room(Size, 1.3);
        var even = new Absorption(wanted.MeanAbsorption(1.6), wanted.MeanAbsorption(1.3), wanted.MeanAbsorption(0.8));
        var room = new RoomSurfaces(even, even, even, even, even, even).Room(Size, 343.2);
        Assert.Equal(1.6, room.BassReverberationSeconds, 9);
        Assert.Equal(1.3, room.ReverberationSeconds, 9);
        Assert.Equal(0.8, room.HighReverberationSeconds, 9);

        // And their images are those of the even room, band by band.
        var plain = ImageField.At(wanted with { HighReverberationSeconds = 0.8 }, Player, Radiation.Even, Stand, 0.06, new SeededRandom(1));
        var own = ImageField.At(room, Player, Radiation.Even, Stand, 0.06, new SeededRandom(1));
        Assert.Equal(plain.Length, own.Length);
        for (var i = 0; i < own.Length; i++)
        {
            Assert.Equal(plain[i].Gain, own[i].Gain, 9);
            Assert.Equal(plain[i].HighGain, own[i].HighGain, 9);
        }
    }

    [Fact]
    public void EverySurfaceTakesItsOwnShareOutOfItsOwnReflections()
    {
        var hard = new Absorption(0.02, 0.02, 0.02);
        var surfaces = new RoomSurfaces(hard, new Absorption(0.1, 0.2, 0.3), hard, hard, Absorption.Audience, hard);
        var images = ImageField.At(surfaces.Room(Size, 343.2), Player, Radiation.Even, Stand, 0.12, new SeededRandom(1), out var count);
        // The image below the floor, and the one beyond the front wall (x = 16).
        var floor = images[..count].Single(image => image.PositionM == new Vector3D(4, 3, -1.2));
        Near(0.55, 0.2, 0.15, floor);
        var front = images[..count].Single(image => image.PositionM == new Vector3D(28, 3, 1.2));
        Near(0.9, 0.8, 0.7, front);

        static void Near(double bass, double middle, double treble, ImageSource image)
        {
            Assert.Equal(bass, image.BassGain * image.BassGain, 12);
            Assert.Equal(middle, image.Gain * image.Gain, 12);
            Assert.Equal(treble, image.HighGain * image.HighGain, 12);
        }
    }

    [Fact]
    public void ScatteringKeepsTheEnergyAndTheDirectSound()
    {
        var room = new Room(Size, 1.3);
        var mirrors = ImageField.At(room, Player, Radiation.Even, Stand, room.MixingSeconds, new SeededRandom(4));
        var scattered = ImageField.At(room with { WallScattering = 0.4 }, Player, Radiation.Even, Stand, room.MixingSeconds + 0.03, new SeededRandom(4), out var count);
        Assert.Equal(mirrors[0], scattered[0]);
        Assert.Equal(mirrors.Length, count);
        double Energy(IEnumerable<ImageSource> images) => images.Sum(image => Math.Pow(image.Gain / (image.PositionM - Stand).Length, 2));
        // Each reflection's energy is split, none is lost but what falls behind the end; the tail drawn beyond the mixing time is left out.
        var pieces = scattered[count..(count + 6 * (count - 1))];
        Assert.Equal(Energy(mirrors.Skip(1)), Energy(scattered[1..count]) + Energy(pieces), 0.1 * Energy(mirrors.Skip(1)));
        Assert.True(Energy(scattered[1..count]) < 0.65 * Energy(mirrors.Skip(1)));
    }

    [Fact]
    public void TrebleGoesLostTowardsTheBackOnly()
    {
        var radiation = new Radiation(Vector3D.Front, 0.8) { TrebleLossDb = 10 };
        Assert.Equal(1, radiation.TrebleTowards(Vector3D.Front, radiation.Axis), 12);
        Assert.Equal(-5, 20 * Math.Log10(radiation.TrebleTowards(Vector3D.Left, radiation.Axis)), 9);
        Assert.Equal(-10, 20 * Math.Log10(radiation.TrebleTowards(-Vector3D.Front, radiation.Axis)), 9);
    }
}
