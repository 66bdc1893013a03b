using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Session.Tests.Presets;

public class PresetLibraryTests
{
    public static TheoryData<string> Names => [.. PresetLibrary.List().Select(p => p.Name)];

    [Theory]
    [MemberData(nameof(Names))]
    public void CapsulesFormARegularTetrahedron(string name)
    {
        var look = PresetLibrary.Find(name).Capsules.Select(c => new Direction(c.AzimuthDeg, c.ElevationDeg).ToUnitVector()).ToArray();

        // Corners of a regular tetrahedron: u_i · u_j = −1/3 for i ≠ j (closed form). Angles are kept to 1e-6 degree = 1.7e-8 rad.
        for (var i = 0; i < 4; i++)
            for (var j = 0; j < i; j++)
                Assert.Equal(-1.0 / 3, Vector3D.Dot(look[i], look[j]), 1e-7);
    }

    [Theory]
    [MemberData(nameof(Names))]
    public void NameSaysRadiusPatternAndMount(string name)
    {
        var preset = PresetLibrary.Find(name);

        Assert.StartsWith(FormattableString.Invariant($"tetra-{preset.RadiusMm}mm-"), name, StringComparison.Ordinal);
        Assert.Equal(name.Contains("subcardioid", StringComparison.Ordinal) ? 0.7 : name.Contains("wide", StringComparison.Ordinal) ? 0.6 : 0.5,
            preset.Pattern);
        var top = preset.Mount.ToRotation().Apply(Vector3D.Up);
        var expected = name switch
        {
            _ when name.EndsWith("hanging", StringComparison.Ordinal) => -Vector3D.Up,
            _ when name.EndsWith("top-to-front", StringComparison.Ordinal) => Vector3D.Front,
            _ when name.EndsWith("top-to-rear", StringComparison.Ordinal) => -Vector3D.Front,
            _ when name.EndsWith("top-to-left", StringComparison.Ordinal) => Vector3D.Left,
            _ when name.EndsWith("top-to-right", StringComparison.Ordinal) => -Vector3D.Left,
            _ => Vector3D.Up,
        };
        Assert.True((top - expected).Length < 1e-12);
    }

    [Fact]
    public void DefaultIsThere() => Assert.Equal(15, PresetLibrary.Find(PresetLibrary.DefaultName).RadiusMm);

    [Fact]
    public void RadiiArePlain() =>
        Assert.Equal([10, 12, 15, 20, 25], PresetLibrary.List().Select(p => p.RadiusMm).Distinct().Order());

    // Orders of the channels are said with --order: a preset has the one order that the labels are written in.
    [Fact]
    public void ChannelsOfEveryPresetComeFrontToBackLeftToRight() =>
        Assert.All(PresetLibrary.List(), p => Assert.Equal(
            ["FL", "FR", "BL", "BR"], p.Capsules.Select(c => c.Label[..2])));

    [Theory]
    [InlineData("tetra-14.7mm-cardioid", "FLU FRD BLD BRU", 0.5, 0)]
    [InlineData("Tetra-14.7mm-Cardioid-Hanging", "FLU FRD BLD BRU", 0.5, 180)]
    [InlineData("tetra-14.7mm-wide-cardioid", "FLU FRD BLD BRU", 0.6, 0)]
    [InlineData("tetra-14.7mm-cardioid-mirrored", "FLD FRU BLU BRD", 0.5, 0)]
    [InlineData("tetra-14.7mm-cardioid-order-flu-bld-frd-bru", "FLU BLD FRD BRU", 0.5, 0)]
    [InlineData("tetra-14.7mm-cardioid-order-flu-bru-frd-bld", "FLU BRU FRD BLD", 0.5, 0)]
    public void EarlierNameStillGivesTheBuildThatItStates(string name, string order, double pattern, double rollDeg)
    {
        var preset = PresetLibrary.Find(name);

        Assert.Equal((14.7, pattern, rollDeg), (preset.RadiusMm, preset.Pattern, preset.Mount.RollDeg));
        Assert.Equal(order, string.Join(' ', preset.Capsules.Select(c => c.Label)));
        Assert.All(preset.Capsules, c => Assert.True(CapsuleLabel.TryParse(c.Label, out var corner)
            && Math.Abs(corner.AzimuthDeg - c.AzimuthDeg) < 1e-5 && Math.Abs(corner.ElevationDeg - c.ElevationDeg) < 1e-5));
        Assert.DoesNotContain(PresetLibrary.List(), p => p.Name == preset.Name);
    }

    [Theory]
    [InlineData("tetra-14.7mm-round")]
    [InlineData("tetra-14.7mm-subcardioid-order-flu-bld-frd-bru")]
    [InlineData("tetra-14.7mm-")]
    public void NameThatNeverWasIsRefused(string name) =>
        Assert.Contains("there is no preset", Samples.Refusal(() => PresetLibrary.Find(name)).Message, StringComparison.Ordinal);

    [Fact]
    public void UnknownNameListsWhatThereIs() =>
        Assert.Contains("tetra-25mm-cardioid", Samples.Refusal(() => PresetLibrary.Find("round")).Message, StringComparison.Ordinal);
}
