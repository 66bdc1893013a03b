namespace CaptureProc.Session.Tests.Model;

public class CapsuleLabelTests
{
    // FLU (1,1,1)/√3 = az 45°, el 35.2644° and so on: the usual layout, common practice (from memory).
    [Theory]
    [InlineData("FLU", 45, 35.2644)]
    [InlineData("FRD", -45, -35.2644)]
    [InlineData("bld", 135, -35.2644)]
    [InlineData("BRU", -135, 35.2644)]
    public void LabelNamesACornerOfTheCube(string label, double azimuthDeg, double elevationDeg)
    {
        Assert.True(CapsuleLabel.TryParse(label, out var capsule));
        Assert.Equal(azimuthDeg, capsule.AzimuthDeg, 1e-9);
        Assert.Equal(elevationDeg, capsule.ElevationDeg, 1e-4);
    }

    [Theory]
    [InlineData("")]
    [InlineData("FL")]
    [InlineData("LFU")]
    [InlineData("FLUX")]
    public void OtherNamesAreNoCorners(string label) => Assert.False(CapsuleLabel.TryParse(label, out _));

    [Fact]
    public void CapsulesFollowTheOrderGiven()
    {
        var capsules = PresetLibrary.Find(PresetLibrary.DefaultName).Capsules;

        Assert.Equal([135.0, 45.0, -135.0, -45.0], CapsuleLabel.Reorder(["BLD", "FLU", "bru", "FRD"], capsules).Select(c => c.AzimuthDeg));
    }

    [Theory]
    [InlineData("FLU,FRD,BLD")]
    [InlineData("FLU,FRD,BLD,BLD")]
    [InlineData("FLU,FRD,BLD,top")]
    public void OrderThatLeavesACapsuleOutIsRefused(string order) =>
        Assert.Equal("bad-order", Samples.Refusal(() =>
            CapsuleLabel.Reorder(order.Split(','), PresetLibrary.Find(PresetLibrary.DefaultName).Capsules)).Code);
}
