using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Acoustics;

namespace CaptureProc.Simulation.Tests.Acoustics;

public sealed class ImageFieldTests
{
    private static readonly Room Hall = new(new Vector3D(14, 11, 6), 1.2);
    private static readonly Vector3D Player = new(4.1, 3.2, 1.1);
    private static readonly Vector3D Stand = new(6.8, 5.1, 2.3);

    [Fact]
    public void TheSixFirstReflectionsStandBehindTheSixSurfaces()
    {
        var images = ImageField.At(Hall, Player, Radiation.Even, Stand, 0.08, new SeededRandom(1));
        var wall = Hall.Reflection(1.2).Elsewhere;
        Vector3D[] mirrored =
        [
            Player with { X = -4.1 }, Player with { X = 28 - 4.1 }, Player with { Y = -3.2 }, Player with { Y = 22 - 3.2 },
            Player with { Z = -1.1 }, Player with { Z = 12 - 1.1 },
        ];
        foreach (var place in mirrored)
        {
            var image = Assert.Single(images, image => (image.PositionM - place).Length < 1e-9);
            Assert.Equal(wall, image.Gain, 12);
        }
    }

    [Fact]
    public void OnlyFloorBouncesMeetTheFloor()
    {
        // β of the other surfaces is 1, so that a gain is the floor's factor to the power of floor bounces and nothing else.
        var hard = new Room(new Vector3D(14, 11, 6), 1.2);
        var share = hard.MeanAbsorption(1.2) * hard.SurfaceM2 / (14 * 11) * (1 - 1e-12);
        var floorOnly = hard with { FloorAbsorption = share };
        var floor = Math.Sqrt(1 - share);
        var images = ImageField.At(floorOnly, Player, Radiation.Even, Stand, floorOnly.MixingSeconds, new SeededRandom(1));
        // Two surfaces 6 m apart: mirror heights are 12k ± 1.1; a ray from −12k+1.1 or −12k−1.1 crosses the planes 0, −12, …
        foreach (var image in images)
        {
            var bounces = 0;
            for (var plane = -600.0; plane <= 600; plane += 12)
                if ((image.PositionM.Z < plane) != (Stand.Z < plane))
                    bounces++;
            Assert.Equal(Math.Pow(floor, bounces), image.Gain, 6);
        }
        Assert.Contains(images, image => image.PositionM.Z < -12);
    }

    [Fact]
    public void LateArrivalsCarryTheEnergyThatASabineRoomHolds()
    {
        // Barron and Lee: energy after t is (16π/A)·e^(−13.8t/T) for a unit source, A = 24 ln10·V/(c·T); 31200/…·T/V in dB re 10 m.
        var (expected, found) = (0.0, 0.0);
        const double from = 0.12;
        for (var seed = 0UL; seed < 20; seed++)
            foreach (var image in ImageField.At(Hall, Player, Radiation.Even, Stand, 2.4, new SeededRandom(seed)))
            {
                var distance = (image.PositionM - Stand).Length;
                if (distance > from * Hall.SpeedOfSoundMps)
                    found += image.Gain * image.Gain / (distance * distance) / 20;
            }
        var absorption = 24 * Math.Log(10) * Hall.VolumeM3 / (Hall.SpeedOfSoundMps * 1.2);
        expected = 16 * Math.PI / absorption * Math.Exp(-6 * Math.Log(10) * from / 1.2);
        // 20 draws of some thousand arrivals each: standard error below 1 % or 0.05 dB.
        Assert.InRange(10 * Math.Log10(found / expected), -0.2, 0.2);
    }

    [Fact]
    public void ImagesAndLateArrivalsJoinInDensityAndEnergy()
    {
        // 4πc³t²/V arrivals a second on either side of the mixing time, over 10 ms each; energy 4πc/V·e^(−13.8t/T) a second.
        var (c, volume, mixing) = (Hall.SpeedOfSoundMps, Hall.VolumeM3, Hall.MixingSeconds);
        foreach (var (start, end) in new[] { (mixing - 0.01, mixing), (mixing, mixing + 0.01) })
        {
            var (count, energy, draws) = (0, 0.0, 60);
            var places = new SeededRandom(5);
            for (var draw = 0; draw < draws; draw++)
            {
                // The lattice is regular: a single place would show its own rhythm, many places show the mean.
                var player = new Vector3D(places.Uniform(1, 13), places.Uniform(1, 10), places.Uniform(1, 5));
                var stand = new Vector3D(places.Uniform(1, 13), places.Uniform(1, 10), places.Uniform(1, 5));
                foreach (var image in ImageField.At(Hall, player, Radiation.Even, stand, end, new SeededRandom((ulong)draw)))
                {
                    var distance = (image.PositionM - stand).Length;
                    if (distance < start * c)
                        continue;
                    count++;
                    energy += image.Gain * image.Gain / (distance * distance);
                }
            }
            var middle = (start + end) / 2;
            Assert.InRange(count / (draws * 0.01) / (4 * Math.PI * c * c * c * middle * middle / volume), 0.93, 1.07);
            // The decay of a shoebox with even walls bends a little away from Eyring's line: 0.6 dB is allowed for it.
            var expected = 4 * Math.PI * c / volume * Math.Exp(-6 * Math.Log(10) * middle / Hall.ReverberationSeconds);
            Assert.InRange(10 * Math.Log10(energy / (draws * 0.01) / expected), -0.6, 0.6);
        }
    }

    [Fact]
    public void ASourceThatTurnsAwayMakesItsFloorReflectionTheLoudest()
    {
        var down = new Radiation(new Vector3D(-0.3, -0.3, -0.9).Normalised(), 0.5);
        var images = ImageField.At(Hall with { FloorAbsorption = 0.02 }, Player, down, Stand, 0.05, new SeededRandom(1));
        var floor = Assert.Single(images, image => (image.PositionM - (Player with { Z = -1.1 })).Length < 1e-9);
        var extraSeconds = ((floor.PositionM - Stand).Length - (Player - Stand).Length) / Hall.SpeedOfSoundMps;
        Assert.InRange(extraSeconds, 0.001, 0.005);
        Assert.True(Pressure(floor) > 1.5 * Pressure(images[0]), $"floor {Pressure(floor)} against direct {Pressure(images[0])}");

        static double Pressure(ImageSource image) => image.Gain / (image.PositionM - Stand).Length;
    }

    [Fact]
    public void APlaceOutsideTheRoomIsRefused()
    {
        var outside = new Vector3D(15, 3, 1);
        Assert.Throws<ArgumentOutOfRangeException>(() => ImageField.At(Hall, outside, Radiation.Even, Stand, 0.1, new SeededRandom(1)));
    }
}
