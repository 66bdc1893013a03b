using System.Buffers.Binary;
using CaptureProc.Session;

namespace CaptureProc.Wav.Tests.Take;

/// <summary>Files that follow one another in time and files side by side: recognised where it is sure, said in words, asked for otherwise.</summary>
public sealed class SplitTakeTests : IDisposable
{
    private const int Noon = 12 * 3600 * 48000;

    private readonly TemporaryFolder folder = new();

    public void Dispose() => folder.Dispose();

    [Fact]
    public void FilesWhoseTimeStampsContinueAreOneRecording()
    {
        var whole = WavSamples.Noise(4, 9000, seed: 1);
        using var input = WavInput.Open(Stamped("take_01.wav", Cut(whole, 0, 5000), Noon), Stamped("take_02.wav", Cut(whole, 5000, 9000), Noon + 5000));

        Assert.Equal((4, 9000L), (input.ChannelCount, input.FrameCount));
        Assert.Equal(whole, WavSamples.ReadAll(input));
        Assert.Contains("take_02.wav: follows", Assert.Single(input.Warnings), StringComparison.Ordinal);
        Assert.Empty(input.Faults);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(777)]
    [InlineData(4096)]
    public void JoinsAreSeamlessForEveryBlockLength(int block)
    {
        var whole = WavSamples.Noise(3, 9001, seed: 2);
        using var input = WavInput.Open(Stamped("a1.wav", Cut(whole, 0, 4000), Noon), Stamped("a2.wav", Cut(whole, 4000, 4001), Noon + 4000),
            Stamped("a3.wav", Cut(whole, 4001, 9001), Noon + 4001));
        var part = new float[]?[] { new float[block], null, new float[block] };
        var read = new List<float>();
        for (int got; (got = input.Read(part, block)) > 0;)
            read.AddRange(part[2].AsSpan(0, got));

        Assert.Equal(whole[2], read);
    }

    [Fact]
    public void OrderOfTimeIsThatOfTheStampsWhateverTheOrderOfTheNames()
    {
        var whole = WavSamples.Noise(4, 3000, seed: 3);
        using var input = WavInput.Open(Stamped("t1.wav", Cut(whole, 0, 1000), Noon), Stamped("t10.wav", Cut(whole, 2000, 3000), Noon + 2000),
            Stamped("t2.wav", Cut(whole, 1000, 2000), Noon + 1000));

        Assert.Equal(whole, WavSamples.ReadAll(input));
        Assert.Empty(input.Faults);
    }

    [Fact]
    public void RecordingOverMidnightIsOne()
    {
        var whole = WavSamples.Noise(2, 3000, seed: 4);
        using var input = WavInput.Open(Stamped("n1.wav", Cut(whole, 0, 2000), 86400L * 48000 - 2000), Stamped("n2.wav", Cut(whole, 2000, 3000), 0));

        Assert.Equal(whole, WavSamples.ReadAll(input));
    }

    [Fact]
    public void TwoRecordersThatSplitAtTheSameMomentGoOnInTheirOwnFiles()
    {
        var (a, b) = (WavSamples.Noise(2, 3000, seed: 5), WavSamples.Noise(2, 3000, seed: 6));
        using var input = WavInput.Open(Stamped("near_1.wav", Cut(a, 0, 2000), Noon), Stamped("near_2.wav", Cut(a, 2000, 3000), Noon + 2000),
            Stamped("far_1.wav", Cut(b, 0, 2000), Noon), Stamped("far_2.wav", Cut(b, 2000, 3000), Noon + 2000));

        Assert.Equal([.. a, .. b], WavSamples.ReadAll(input));
    }

    [Fact]
    public void NumbersAndTheSizeAtWhichRecordersSplitAreEnoughWithoutStamps()
    {
        var (first, second) = (Sparse("take_1.wav", (1L << 31) - 4096), Sparse("take_2.wav", 400_000));

        using var input = WavInput.Open(first, second);

        Assert.Equal(4, input.ChannelCount);
        Assert.Equal(input.Files[0].FrameCount + input.Files[1].FrameCount, input.FrameCount);
        Assert.Contains("by numbers and size", Assert.Single(input.Warnings), StringComparison.Ordinal);
    }

    [Fact]
    public void FilesThatAllEndAtTheSizeLimitAreAskedFor()
    {
        var (first, second) = (Sparse("take_1.wav", (1L << 31) - 4096), Sparse("take_2.wav", (1L << 31) - 4096));

        Assert.Equal("take-unclear", WavSamples.Refusal(() => WavInput.Open(first, second)).Code);
    }

    [Fact]
    public void RecorderWithoutAClockIsFollowedByNumberAndSizeAndTheStampsAreBlamed()
    {
        var first = Sparse("take_1.wav", (1L << 31) - 4096, stamp: 5);
        var second = Sparse("take_2.wav", 400_000, stamp: 5);

        using var input = WavInput.Open(first, second);

        Assert.Equal(4, input.ChannelCount);
        Assert.Contains("the stamps are not used", Assert.Single(input.Faults), StringComparison.Ordinal);
    }

    [Fact]
    public void WhatCouldBeEitherIsAskedForInTheWordsThatSayIt()
    {
        var (first, second) = (Plain("take_01.wav", 2, 3000), Plain("take_02.wav", 2, 2000));

        var refusal = WavSamples.Refusal(() => WavInput.Open(first, second));

        Assert.Equal("take-unclear", refusal.Code);
        Assert.Contains($"{first} then {second}, or {first} with {second}", refusal.Message, StringComparison.Ordinal);
        using var then = WavInput.Open(first, "then", second);
        Assert.Equal((2, 5000L), (then.ChannelCount, then.FrameCount));
        using var with = WavInput.Open(first, "with", second);
        Assert.Equal((4, 3000L), (with.ChannelCount, with.FrameCount));
    }

    [Fact]
    public void WordsBindAsTheyAreRead()
    {
        var (a, b) = (WavSamples.Noise(2, 500, seed: 7), WavSamples.Noise(1, 500, seed: 8));
        using var input = WavInput.Open(Write("x.wav", Cut(a, 0, 200)), "then", Write("y.wav", Cut(a, 200, 500)), "with", Write("p.wav", Cut(b, 0, 400)), "then", Write("q.wav", Cut(b, 400, 500)));

        Assert.Equal([.. a, .. b], WavSamples.ReadAll(input));
    }

    [Theory]
    [InlineData("then", "a.wav")]
    [InlineData("a.wav", "with")]
    [InlineData("a.wav", "then", "with", "b.wav")]
    public void WordWithoutAFileOnBothSidesIsRefused(params string[] words) =>
        Assert.Contains("has to stand between two files", WavSamples.Refusal(() => WavInput.Open(words)).Message, StringComparison.Ordinal);

    [Fact]
    public void FilesSortedAsTextAreRefusedUnlessTheOrderIsStated()
    {
        var (one, ten, two) = (Plain("mic1.wav", 1, 100), Plain("mic10.wav", 1, 100), Plain("mic2.wav", 1, 100));

        Assert.Contains("sorted as text (10, 2 in the names of the files)", WavSamples.Refusal(() => WavInput.Open(one, ten, two)).Message, StringComparison.Ordinal);
        using var stated = WavInput.Open(one, "with", ten, "with", two);
        Assert.Equal(3, stated.ChannelCount);
        using var right = WavInput.Open(one, two, ten);
        Assert.Equal(3, right.ChannelCount);
    }

    [Fact]
    public void TracksSortedAsTextAreCaughtByTheirNames()
    {
        string[] files = [.. new[] { ("x.wav", "Track 1"), ("y.wav", "Track 10"), ("z.wav", "Track 2") }.Select((f, i) =>
            WavSamples.Write(folder.File(f.Item1), WavSamples.Noise(1, 100, i), new WavOutputFormat(48000, 1, SampleFormat.Float32) { ChannelNames = [f.Item2] }))];

        Assert.Contains("10, 2 in the names of the tracks", WavSamples.Refusal(() => WavInput.Open(files)).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void FileThatIsGivenTwiceIsRefusedUnderWhateverName()
    {
        var path = Plain("a.wav", 1, 100);
        var link = folder.File("b.wav");
        File.CreateSymbolicLink(link, path);

        Assert.Equal("given-twice", WavSamples.Refusal(() => WavInput.Open(path, path)).Code);
        Assert.Equal("given-twice", WavSamples.Refusal(() => WavInput.Open(path, link)).Code);
    }

    [Fact]
    public void StampsThatCountAgainstTheNamesAreFollowedAndNamed()
    {
        var whole = WavSamples.Noise(4, 3000, seed: 9);
        using var input = WavInput.Open(Stamped("take_1.wav", Cut(whole, 1000, 3000), Noon + 1000), Stamped("take_2.wav", Cut(whole, 0, 1000), Noon));

        Assert.Equal(whole, WavSamples.ReadAll(input));
        Assert.Contains("the names count the other way", Assert.Single(input.Faults), StringComparison.Ordinal);
    }

    [Fact]
    public void StatedSuccessionKeepsTheGapOfTheStampsAndNamesAnOverlap()
    {
        var (a, b) = (WavSamples.Noise(1, 1000, seed: 10), WavSamples.Noise(1, 1000, seed: 11));
        var (first, later, sooner) = (Stamped("a.wav", a, Noon), Stamped("b.wav", b, Noon + 1500), Stamped("c.wav", b, Noon + 500));

        using var gap = WavInput.Open(first, "then", later);
        Assert.Equal([.. a[0], .. new float[500], .. b[0]], WavSamples.ReadAll(gap)[0]);
        using var overlap = WavInput.Open(first, "then", sooner);
        Assert.Equal([.. a[0], .. b[0]], WavSamples.ReadAll(overlap)[0]);
        Assert.Contains("is said to follow it", Assert.Single(overlap.Faults), StringComparison.Ordinal);
    }

    [Fact]
    public void FilesLieWhereTheirStampsPutThemUnlessTheseAreLeftAside()
    {
        var (a, b) = (WavSamples.Noise(4, 3000, seed: 12), WavSamples.Noise(1, 3000, seed: 13));
        string[] files = [Stamped("array.wav", a, Noon + 700), Stamped("harp.wav", b, Noon)];

        using var placed = WavInput.Open(files);
        Assert.Equal((3700L, (long?)Noon), (placed.FrameCount, placed.TimeReferenceFrames));
        var planar = WavSamples.ReadAll(placed);
        Assert.Equal([.. new float[700], .. a[0]], planar[0]);
        Assert.Equal([.. b[0], .. new float[700]], planar[4]);
        Assert.Empty(placed.Faults);

        using var together = WavInput.Open(new TakeFiles(files, ignoreStamps: true));
        Assert.Equal([.. a, .. b], WavSamples.ReadAll(together));
    }

    [Fact]
    public void FilesThatShareNoMomentAreAskedFor()
    {
        var files = new[] { Stamped("array.wav", WavSamples.Noise(4, 3000, seed: 14), Noon), Stamped("harp.wav", WavSamples.Noise(1, 3000, seed: 15), Noon + 6000) };

        Assert.Contains("begins 0.063 s after the end of", WavSamples.Refusal(() => WavInput.Open(files)).Message, StringComparison.Ordinal);
        using var together = WavInput.Open(new TakeFiles(files, ignoreStamps: true));
        Assert.Equal(3000, together.FrameCount);
    }

    [Fact]
    public void StampThatCountsAtAnotherRateIsNotUsedAndNamed()
    {
        var harp = WavSamples.Write(folder.File("harp.wav"), WavSamples.Noise(1, 3000, seed: 16), new WavOutputFormat(48000, 1, SampleFormat.Float32)
        {
            BroadcastExtension = Bext(Noon + 100),
            Chunks = [new WavChunk("iXML", "<BWFXML><SPEED><TIMESTAMP_SAMPLE_RATE>96000</TIMESTAMP_SAMPLE_RATE></SPEED></BWFXML>"u8.ToArray())],
        });

        using var input = WavInput.Open(Stamped("array.wav", WavSamples.Noise(4, 3000, seed: 17), Noon), harp);

        Assert.Contains("counts at 96000 Hz, but the file has 48000 Hz", Assert.Single(input.Faults), StringComparison.Ordinal);
        Assert.Equal(3000, input.FrameCount);
    }

    [Fact]
    public void ChannelsThatNobodyUsesAreNamedAndAWholeFileOfThemNeedsAttention()
    {
        var session = new SessionDocument { SampleRate = 48000, Arrays = [new ArrayEntry { Id = "main", Channels = [1, 2, 3, 4] }], Spots = [new SpotEntry { Id = "harp", Channels = [5] }] };
        using var spare = WavInput.Open(Plain("take.wav", 8, 100));
        spare.RequireSession(session);
        Assert.Contains("channels 6-8 of the recording belong to no array and no spot", Assert.Single(spare.Warnings), StringComparison.Ordinal);
        Assert.Empty(spare.Faults);

        // Equally long, numbered, without stamps: taken for further channels, and if it was further time it must not go unnoticed.
        using var doubtful = WavInput.Open(Plain("half_1.wav", 5, 100), Plain("half_2.wav", 5, 100));
        doubtful.RequireSession(session);
        Assert.Contains("nobody in the session uses its channels 6-10", Assert.Single(doubtful.Faults), StringComparison.Ordinal);
    }

    private static float[][] Cut(float[][] planar, int from, int to) => [.. planar.Select(row => row[from..to])];

    private string Write(string name, float[][] planar) => WavSamples.Write(folder.File(name), planar, new WavOutputFormat(48000, planar.Length, SampleFormat.Float32));

    private string Plain(string name, int channels, int frames) => Write(name, WavSamples.Noise(channels, frames, seed: frames));

    private string Stamped(string name, float[][] planar, long stamp) => WavSamples.Write(folder.File(name), planar,
        new WavOutputFormat(48000, planar.Length, SampleFormat.Float32) { BroadcastExtension = Bext(stamp) });

    // TimeReference is 8 bytes at 338 (EBU Tech 3285, as in libsndfile's structure).
    private static byte[] Bext(long stamp)
    {
        var chunk = new byte[602];
        BinaryPrimitives.WriteInt64LittleEndian(chunk.AsSpan(338), stamp);
        return chunk;
    }

    /// <summary>Four channels of 16 bits, all a hole in the file but for its head.</summary>
    private string Sparse(string name, long bytes, long? stamp = null)
    {
        var path = folder.File(name);
        using var stream = new FileStream(path, FileMode.CreateNew);
        (string, byte[], long)[] bext = stamp is { } s ? [("bext", Bext(s), -1)] : [];
        var head = WavSamples.Riff("RIFF", [.. bext, ("fmt ", WavSamples.Fmt(channels: 4), -1), ("data", [], -1)]);
        BinaryPrimitives.WriteUInt32LittleEndian(head.AsSpan(head.Length - 4), (uint)(bytes - head.Length));
        stream.Write(head);
        stream.SetLength(bytes);
        return path;
    }
}
