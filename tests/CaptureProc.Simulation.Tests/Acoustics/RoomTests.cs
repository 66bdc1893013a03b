using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Acoustics;

namespace CaptureProc.Simulation.Tests.Acoustics;

public sealed class RoomTests
{
    [Fact]
    public void AbsorptionIsEyrings()
    {
        // 10 x 8 x 4 m, mean absorption 0.2 → 0.7595 s by T = 0.161 V/(−S ln(1−ᾱ)) (phonometry, evaluated);
        // 24 ln 10/c is 0.16102 at c = 343.2, so the figures agree to a tenth of a percent.
        Assert.Equal(0.2, new Room(new Vector3D(10, 8, 4), 0.7595).MeanAbsorption(0.7595), 3);
    }

    [Fact]
    public void AHarderFloorLeavesTheMeanAsItWas()
    {
        var room = new Room(new Vector3D(12, 9, 5), 0.9) { FloorAbsorption = 0.03 };
        var (floor, elsewhere) = room.Reflection(0.9);
        var floorArea = 12.0 * 9;
        var mean = (floorArea * (1 - floor * floor) + (room.SurfaceM2 - floorArea) * (1 - elsewhere * elsewhere)) / room.SurfaceM2;
        Assert.Equal(room.MeanAbsorption(0.9), mean, 12);
        Assert.Equal(Math.Sqrt(0.97), floor, 12);
    }

    [Fact]
    public void AFloorThatSwallowsMoreThanTheRoomMayIsRefused()
    {
        var room = new Room(new Vector3D(12, 9, 5), 3) { FloorAbsorption = 0.9 };
        Assert.Contains("floor", Assert.Throws<InvalidOperationException>(() => room.Reflection(3)).Message);
    }
}
