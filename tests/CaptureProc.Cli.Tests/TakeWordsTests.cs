using System.Buffers.Binary;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Tests;

/// <summary>Takes of several files as a command line names them: split in time, side by side, at their stamped place.</summary>
public sealed class TakeWordsTests : IDisposable
{
    private const long Noon = 12L * 3600 * 48000;

    private readonly Concert concert = new();

    public void Dispose() => concert.Dispose();

    [Theory]
    [InlineData("convert")]
    [InlineData("mix")]
    public void SplitTakeGivesWhatTheWholeOneGives(string command)
    {
        var noise = Concert.Noise();
        Assert.Equal(0, CommandLine.Run(command, concert.Session, concert.Take, concert.File("whole.wav"), "--bits", "32f").ExitCode);
        Write("part_1.wav", noise, 0, 7000, Noon);
        Write("part_2.wav", noise, 7000, Concert.Frames, Noon + 7000);

        var result = CommandLine.Run(command, concert.Session, concert.File("part_1.wav"), concert.File("part_2.wav"), concert.File("split.wav"), "--bits", "32f");

        Assert.Equal(0, result.ExitCode);
        Assert.Contains("follows", result.Error, StringComparison.Ordinal);
        Assert.Equal(Read("whole.wav"), Read("split.wav"));
    }

    [Fact]
    public void UnclearTakeIsRefusedAndTheWordTellsIt()
    {
        var noise = Concert.Noise();
        Write("part_1.wav", noise, 0, 7000, null);
        Write("part_2.wav", noise, 7000, Concert.Frames, null);
        var (first, second) = (concert.File("part_1.wav"), concert.File("part_2.wav"));

        CommandLine.Refuses($"write {first} then {second}", "convert", concert.Session, first, second, concert.Out);
        var result = CommandLine.Run("convert", concert.Session, first, "then", second, concert.Out, "--json");

        Assert.Equal((0, Concert.Frames), (result.ExitCode, (int)result.Json["frames"]!));
    }

    [Fact]
    public void SpotLiesAtItsStampedPlaceUnlessStampsAreLeftAside()
    {
        var noise = Concert.Noise();
        Write("array.wav", noise[..4], 0, 9000, Noon + 2000);
        Write("harp.wav", noise[4..], 0, 9000, Noon);
        string[] files = [concert.File("array.wav"), concert.File("harp.wav")];

        var stamped = CommandLine.Run(["align", concert.Session, .. files, concert.File("stamped"), "--json"]);
        var together = CommandLine.Run(["align", concert.Session, .. files, concert.File("together"), "--ignore-stamps", "--json"]);

        Assert.Equal((0, 11000), (stamped.ExitCode, (int)stamped.Json["frames"]!));
        Assert.Equal((0, 9000), (together.ExitCode, (int)together.Json["frames"]!));
        // The files carry the time of their own first frame, which is that of the harp.
        using var array = WavFile.Open(Path.Combine(concert.File("stamped"), "main.wav"));
        Assert.Equal(Noon, array.TimeReferenceFrames);
    }

    [Fact]
    public void StampsThatContradictTheNamesMakeTheExitCodeOne()
    {
        var noise = Concert.Noise();
        Write("part_1.wav", noise, 7000, Concert.Frames, Noon + 7000);
        Write("part_2.wav", noise, 0, 7000, Noon);

        var result = CommandLine.Run("convert", concert.Session, concert.File("part_1.wav"), concert.File("part_2.wav"), concert.Out, "--json");

        Assert.Equal((1, Concert.Frames), (result.ExitCode, (int)result.Json["frames"]!));
        Assert.Contains("the names count the other way", result.Error, StringComparison.Ordinal);
    }

    [Fact]
    public void HistoryKeepsWhatWasSaidAboutTheFiles()
    {
        var noise = Concert.Noise();
        Write("x.wav", noise, 0, 7000, null);
        Write("y.wav", noise, 7000, Concert.Frames, null);

        CommandLine.Run("patch", concert.Session, concert.File("x.wav"), "then", concert.File("y.wav"), "--ambience", "--ignore-stamps");

        var entry = SessionStore.Read(concert.Session).History[^1];
        Assert.True(entry.IgnoreStamps);
        Assert.Equal([("x.wav", null), ("y.wav", "then")], entry.Inputs.Select(i => (i.File, i.Joined)));
    }

    private float[][] Read(string name)
    {
        using var input = WavInput.Open(concert.File(name));
        var planar = Enumerable.Range(0, input.ChannelCount).Select(_ => new float[input.FrameCount]).ToArray();
        input.Read(planar, (int)input.FrameCount);
        return planar;
    }

    // TimeReference is 8 bytes at 338 of the bext chunk (EBU Tech 3285, as in libsndfile's structure).
    private void Write(string name, float[][] planar, int from, int to, long? stamp)
    {
        var bext = new byte[602];
        BinaryPrimitives.WriteInt64LittleEndian(bext.AsSpan(338), stamp ?? 0);
        using var output = WavOutput.Create(concert.File(name), new WavOutputFormat(48000, planar.Length, SampleFormat.Float32) { BroadcastExtension = stamp is null ? null : bext }, replace: true);
        output.Write(planar, from, to - from);
        output.Complete();
    }
}
