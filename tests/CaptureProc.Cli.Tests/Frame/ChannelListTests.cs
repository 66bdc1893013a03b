using CaptureProc.Cli.Frame;
using CaptureProc.Session;

namespace CaptureProc.Cli.Tests.Frame;

public class ChannelListTests
{
    private static readonly string?[] Tracks = ["FLU", "Harp", null, "Horn", "horn"];

    [Theory]
    [InlineData("5", new[] { 5 })]
    [InlineData("1-4", new[] { 1, 2, 3, 4 })]
    [InlineData("4,3,2,1", new[] { 4, 3, 2, 1 })]
    [InlineData("1, 7-9", new[] { 1, 7, 8, 9 })]
    [InlineData("harp", new[] { 2 })]
    [InlineData("flu,3", new[] { 1, 3 })]
    public void ChannelsAreReadAsWritten(string text, int[] channels) =>
        Assert.Equal(channels, ChannelList.Parse(text, "--spot", Tracks));

    [Theory]
    [InlineData("")]
    [InlineData("0")]
    [InlineData("-1")]
    [InlineData("4-1")]
    [InlineData("1-")]
    [InlineData("1-2-3")]
    [InlineData("1,,2")]
    [InlineData("1,1")]
    [InlineData("1-3,2")]
    [InlineData("oboe")]
    [InlineData("horn")]
    [InlineData("99999")]
    [InlineData("1.5")]
    public void EverythingElseIsRefused(string text) =>
        Assert.Equal("bad-channels", Assert.Throws<UnusableInputException>(() => ChannelList.Parse(text, "--spot", Tracks)).Code);
}
