using CaptureProc.Session.Published;

namespace CaptureProc.Cli.Tests.Commands;

[Collection("published folder")]
public sealed class PublishCommandTests : IDisposable
{
    private readonly TemporaryFolder folder = new();
    private readonly string? before = Environment.GetEnvironmentVariable(PublishedFolder.EnvironmentVariable);

    public PublishCommandTests()
    {
        Environment.SetEnvironmentVariable(PublishedFolder.EnvironmentVariable, folder.File("published"));
        CommandLine.Run("start", folder.File("a.json"), "--array", "main=1-4", "--spot", "harp=5", "--title", "Evening");
    }

    public void Dispose()
    {
        Environment.SetEnvironmentVariable(PublishedFolder.EnvironmentVariable, before);
        folder.Dispose();
    }

    [Fact]
    public void APublishedSessionIsListedAndCanBeWithdrawn()
    {
        var published = CommandLine.Run("publish", folder.File("a.json"), "--json");
        Assert.Equal(0, published.ExitCode);
        Assert.Equal("Evening", (string)published.Json["published"]!["name"]!);

        var listed = CommandLine.Run("publish", "--list", "--json");
        Assert.Equal("Evening", (string)listed.Json["sessions"]![0]!["name"]!);
        Assert.Contains("Evening", CommandLine.Run("publish", "--list").Out, StringComparison.Ordinal);

        Assert.Equal(0, CommandLine.Run("publish", "Evening", "--withdraw").ExitCode);
        Assert.Contains("Nothing is published", CommandLine.Run("publish", "--list").Out, StringComparison.Ordinal);
        Assert.True(File.Exists(folder.File("a.json")));
    }

    [Fact]
    public void ASessionWhoseFileHasGoneIsListedAsMissingAndNeedsAttention()
    {
        CommandLine.Run("publish", folder.File("a.json"));
        File.Delete(folder.File("a.json"));
        var listed = CommandLine.Run("publish", "--list");
        Assert.Equal(1, listed.ExitCode);
        Assert.Contains("missing", listed.Out, StringComparison.Ordinal);
    }

    [Fact]
    public void WhatCannotBePublishedOrWithdrawnIsRefusedInOneLine()
    {
        CommandLine.Refuses("no session is named and this folder holds none", "publish");
        CommandLine.Refuses("no session is given", "publish", "--withdraw");
        CommandLine.Refuses("not published", "publish", "nothing", "--withdraw");
        CommandLine.Refuses("there is no such session file", "publish", folder.File("b.json"));
        CommandLine.Refuses("exclude each other", "publish", "--list", "--withdraw");
    }
}
