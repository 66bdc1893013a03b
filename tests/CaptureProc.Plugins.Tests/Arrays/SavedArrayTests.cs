using CaptureProc.Plugins.Arrays;
using CaptureProc.Plugins.Arrays.LineUp;
using CaptureProc.Session;

namespace CaptureProc.Plugins.Tests.Arrays;

public sealed class SavedArrayTests
{
    private static readonly TrimSet Kept = LineUpTrims.Set(LineUpTrims.UsualName, LineUpTrims.FromPinkNoise, [0, -0.1, 0.2, -0.04], [0, 0.001, 0.02, 0.001], 0.1);

    [Theory]
    [InlineData("", false)]
    [InlineData("gallery", false)]
    [InlineData("", true)]
    [InlineData("gallery", true)]
    public void LineUpAndArrayComeBack(string array, bool hasLineUp)
    {
        var (kept, name) = SavedArray.FromBytes(SavedArray.ToBytes(hasLineUp ? Kept : null, array));
        Assert.Equal(array, name);
        Assert.Equal(hasLineUp ? Kept.Db : null, kept?.Db);
    }

    [Fact]
    public void AProjectOfTheMainArrayIsTheSameAsBeforeThereWasAChoice()
    {
        Assert.Empty(SavedArray.ToBytes(null, ""));
        Assert.Equal(SavedLineUp.ToBytes(Kept), SavedArray.ToBytes(Kept, ""));
    }

    [Fact]
    public void DamagedBytesMeanTheMainArray()
    {
        var bytes = SavedArray.ToBytes(Kept, "gallery");
        for (var length = 0; length < bytes.Length; length++)
            Assert.Equal("", SavedArray.FromBytes(bytes.AsSpan(0, length)).Array);
        foreach (var length in new[] { -1, int.MaxValue, int.MinValue })
            Assert.Equal("", SavedArray.FromBytes(BitConverter.GetBytes(length)).Array);
    }
}
