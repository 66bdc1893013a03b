using System.Buffers.Binary;
using CaptureProc.Plugins.Arrays.LineUp;
using CaptureProc.Plugins.Link;
using CaptureProc.Session;

namespace CaptureProc.Plugins.Tests.Arrays;

public sealed class SavedLineUpTests
{
    private static readonly TrimSet Kept = LineUpTrims.Set(
        LineUpTrims.UsualName, LineUpTrims.FromPinkNoise, [0, -0.1234, 0.25, -0.04], [0, 0.00012, 0.02, 0.00013], 0.15);

    [Fact]
    public void WhatIsSavedComesBack()
    {
        var back = SavedLineUp.FromBytes(SavedLineUp.ToBytes(Kept))!;
        Assert.Equal(Kept.Db, back.Db);
        Assert.Equal(Kept.UncertaintyDb!, back.UncertaintyDb!);
        Assert.Equal((Kept.Name, Kept.Source, Kept.ToleranceDb), (back.Name, back.Source, back.ToleranceDb));
        Assert.Empty(SavedLineUp.ToBytes(null));
    }

    [Fact]
    public void ItFollowsTheSessionLinkInTheBytes()
    {
        var link = new SavedLink("Evening", "evening.json", "00", null).ToBytes();
        ReadOnlySpan<byte> bytes = [.. link, .. SavedLineUp.ToBytes(Kept)];
        Assert.Equal("Evening", SavedLink.FromBytes(ref bytes).Name);
        Assert.Equal(Kept.Db, SavedLineUp.FromBytes(bytes)!.Db);

        ReadOnlySpan<byte> before = link;
        SavedLink.FromBytes(ref before);
        Assert.True(before.IsEmpty);
        Assert.Null(SavedLineUp.FromBytes(before));
    }

    [Fact]
    public void ALaterVersionMayAppendMore()
    {
        var longer = SavedLineUp.ToBytes(Kept).Concat(new byte[16]).ToArray();
        BinaryPrimitives.WriteInt32LittleEndian(longer, longer.Length - 4);
        Assert.Equal(Kept.Db, SavedLineUp.FromBytes(longer)!.Db);
    }

    [Fact]
    public void WhatIsCutShortOrNoNumberReadsAsNone()
    {
        var bytes = SavedLineUp.ToBytes(Kept);
        for (var length = 0; length < bytes.Length; length++)
            Assert.Null(SavedLineUp.FromBytes(bytes.AsSpan(0, length)));
        foreach (var value in new[] { double.NaN, double.PositiveInfinity, -1e300 })
            for (var at = 4; at < bytes.Length; at += 8)
            {
                var bad = (byte[])bytes.Clone();
                BinaryPrimitives.WriteDoubleLittleEndian(bad.AsSpan(at), value);
                Assert.Null(SavedLineUp.FromBytes(bad));
            }
    }
}
