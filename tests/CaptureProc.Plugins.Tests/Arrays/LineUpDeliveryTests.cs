using CaptureProc.Plugins.Arrays.LineUp;
using CaptureProc.Session;

namespace CaptureProc.Plugins.Tests.Arrays;

public sealed class LineUpDeliveryTests : IDisposable
{
    private static readonly TrimSet Kept = LineUpTrims.Set(LineUpTrims.UsualName, LineUpTrims.FromPinkNoise, [0, 1, 2, 3], [0, 0.1, 0.1, 0.1], 0.1);

    private readonly string folder = Directory.CreateTempSubdirectory("captureproc-delivery-").FullName;
    private readonly string path;

    public LineUpDeliveryTests()
    {
        path = Path.Combine(folder, "evening.json");
        SessionStore.Create(path, new SessionDocument
        {
            Title = "Evening", SampleRate = 48000, Created = DateTimeOffset.UnixEpoch,
            Arrays =
            [
                Tetrahedron.Main with
                {
                    TrimSets = [new TrimSet { Name = "by ear", Db = [1, 1, 1, 1] }, new TrimSet { Name = "line-up", Db = [9, 9, 9, 9] }],
                    ActiveTrim = "by ear",
                },
            ],
        });
    }

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public void ItTakesThePlaceOfAnOlderLineUpAndLeavesTheChoiceOfTheSession()
    {
        Assert.Equal(LineUpOutcome.Written, new LineUpDelivery(path, "main", Kept).Try());
        var array = SessionStore.Read(path).MainArray();
        Assert.Equal(["by ear", "line-up"], array.TrimSets.Select(t => t.Name));
        Assert.Equal([0, 1, 2, 3], array.TrimSets[1].Db);
        Assert.Equal("by ear", array.ActiveTrim);
    }

    [Fact]
    public void AFileThatAnotherProgramHoldsIsTriedAgainUntilItIsFree()
    {
        var delivery = new LineUpDelivery(path, "main", Kept);
        var before = File.ReadAllBytes(path);
        SessionStore.Update(path, session =>
        {
            // Held by this change while it lasts.
            Assert.Null(delivery.Try());
            Assert.Null(delivery.Try());
            return session;
        });
        Assert.Equal(LineUpOutcome.Written, delivery.Try());
        Assert.NotEqual(before, File.ReadAllBytes(path));
    }

    [Fact]
    public void WhatCannotTakeItIsNamedAndStaysAsItIs()
    {
        Assert.Equal(LineUpOutcome.NoArray, new LineUpDelivery(path, "organ", Kept).Try());
        Assert.Equal(LineUpOutcome.Unusable, new LineUpDelivery(path + "x", "main", Kept).Try());
        File.WriteAllText(path, "{");
        Assert.Equal(LineUpOutcome.Unusable, new LineUpDelivery(path, "main", Kept).Try());
        Assert.Equal("{", File.ReadAllText(path));
    }
}
