namespace CaptureProc.Session.Tests.Model;

public class SessionLookupTests
{
    private static readonly ArrayEntry Main = Samples.Full().Arrays[0];
    private static readonly ArrayEntry Organ = Main with { Id = "organ", Channels = [6, 7, 8, 9], TrimSets = [], ActiveTrim = null };

    [Fact]
    public void MainArrayIsTheFirstThatNoSpotUses()
    {
        var session = Samples.Full() with { Arrays = [Organ, Main], Spots = [new SpotEntry { Id = "organ", Channels = [6, 7, 8, 9], ArrayId = "organ" }] };

        Assert.Equal("main", session.MainArray().Id);
    }

    [Fact]
    public void SpotWithFourChannelsFindsItsArrayByNameThenByChannelsThenByGuess()
    {
        var spot = new SpotEntry { Id = "organ", Channels = [6, 7, 8, 9] };
        var session = Samples.Full() with { Arrays = [Main, Organ] };

        Assert.Equal("organ", session.ArrayOf(spot with { ArrayId = "organ" }, out var assumed)!.Id);
        Assert.False(assumed);
        Assert.Equal("organ", session.ArrayOf(spot, out assumed)!.Id);
        Assert.False(assumed);
        var guess = (session with { Arrays = [Main] }).ArrayOf(spot, out assumed)!;
        Assert.True(assumed);
        Assert.Equal([6, 7, 8, 9], guess.Channels);
        Assert.Equal([0.0, 0, 0, 0], guess.TrimDb());
    }

    [Fact]
    public void SpotWithOneChannelIsNoArray() =>
        Assert.Null(Samples.Full().ArrayOf(new SpotEntry { Id = "harp", Channels = [5] }, out _));

    [Fact]
    public void TrimsAreTheActiveOnesUnlessNamed()
    {
        Assert.Equal(0.12, Main.TrimDb()[1]);
        Assert.Equal([0.0, 0, 0, 0], Main.TrimDb("none"));
        Assert.Contains("line-up", Samples.Refusal(() => Main.TrimDb("room")).Message, StringComparison.Ordinal);
    }
}
