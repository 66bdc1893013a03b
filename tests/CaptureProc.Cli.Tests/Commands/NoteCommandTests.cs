using CaptureProc.Session;

namespace CaptureProc.Cli.Tests.Commands;

public sealed class NoteCommandTests : IDisposable
{
    private readonly Concert concert = new();

    public void Dispose() => concert.Dispose();

    [Fact]
    public void NotesGoIntoTheSessionAndStayWhereNothingIsSaid()
    {
        Assert.Equal(0, CommandLine.Run("note", concert.Session, "--place", "tide mill", "--people", "eight players",
            "--microphone", "Harp=small cardioid", "--microphone", "main=tetrahedron", "--take", "day/take_01.wav=Nine Lanterns = all").ExitCode);
        Assert.Equal(0, CommandLine.Run("note", concert.Session, "--preamps", "30 dB", "--people", "", "--take", "take_02.wav=again").ExitCode);

        var session = SessionStore.Read(concert.Session);
        Assert.Equal(("tide mill", null, "30 dB"), (session.Notes!.Place, session.Notes.People, session.Notes.Preamps));
        Assert.Equal(("small cardioid", "tetrahedron"), (session.FindSpot("harp").Microphone, session.MainArray().Microphone));
        Assert.Equal([("take_01.wav", "Nine Lanterns = all"), ("take_02.wav", "again")], session.Notes.Takes.Select(t => (t.File, t.Name)));
        Assert.Equal(120.25, session.FindSpot("harp").Delay!.Samples);

        var shown = CommandLine.Run("note", concert.Session);
        Assert.All(["tide mill", "spot harp", "small cardioid", "take take_02.wav"], words => Assert.Contains(words, shown.Out, StringComparison.Ordinal));
    }

    [Fact]
    public void EmptyTextTakesANoteAwayAndNoneIsLeftBehind()
    {
        Assert.Equal(0, CommandLine.Run("note", concert.Session, "--take", "a.wav=x", "--microphone", "harp=y").ExitCode);
        Assert.Equal(0, CommandLine.Run("note", concert.Session, "--take", "a.wav=", "--microphone", "harp=").ExitCode);

        Assert.DoesNotContain("\"notes\"", File.ReadAllText(concert.Session), StringComparison.Ordinal);
        Assert.DoesNotContain("microphone", File.ReadAllText(concert.Session), StringComparison.Ordinal);
    }

    [Fact]
    public void WhatCannotBeNotedIsRefused()
    {
        var before = File.ReadAllText(concert.Session);
        CommandLine.Refuses("write FILE=NAME", "note", concert.Session, "--take", "take.wav");
        CommandLine.Refuses("there is no spot 'oboe'", "note", concert.Session, "--microphone", "oboe=x");
        Assert.Equal(before, File.ReadAllText(concert.Session));
    }
}
