using System.Buffers.Binary;
using System.Diagnostics;
using System.Globalization;
using System.Text;
using System.Text.RegularExpressions;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Tests;

/// <summary>Files damaged at random, with a seed: every command ends with 0, 1 or 2, in its own words, soon, and within its memory.</summary>
/// <remarks>
/// <c>bash tests/damaged 10000</c> tries ten thousand; without a number of its own (CAPTUREPROC_DAMAGED) a thousand. Each file has a
/// seed that is its number, so one that fails can be made again.
/// </remarks>
[Collection(nameof(DamagedFilesTests))]
public sealed partial class DamagedFilesTests : IDisposable
{
    private const double MaxProcessorSeconds = 20;
    private const long MaxBytes = 1L << 30;

    private static readonly int Count = int.Parse(Environment.GetEnvironmentVariable("CAPTUREPROC_DAMAGED") ?? "1000", CultureInfo.InvariantCulture);
    private static readonly uint[] Extremes = [0, 1, 0x7F, 0x80, 0xFFFF, 0x7FFFFFFF, 0x80000000, 0xFFFFFFFF, 0x00FFFFFF, 0xFFFFFFF8];
    private static readonly string[] Values = ["null", "0", "-1", "1e9", "1e308", "-1e308", "1e999", "2147483648", "\"\"", "\"x\"", "[]", "{}", "[null]", "true", "[1,2,3,4]", "0.5"];

    private readonly Concert concert = new();
    private readonly List<string> failures = [];

    public void Dispose() => concert.Dispose();

    [Fact]
    public void EveryCommandEndsInItsOwnWordsOnEveryDamagedFile()
    {
        var (take, session) = (WholeTake(), WholeSession());
        var head = File.ReadAllBytes(Directory.GetFiles(AppContext.BaseDirectory, "*.sofa")[0]);
        Concert.WriteTake(concert.File("field.wav"), Concert.Noise()[..4]);
        var exitCodes = new int[3];
        for (var seed = 0; seed < Count && failures.Count < 10; seed++)
        {
            var random = new Random(seed);
            var damaged = (seed % 20) switch
            {
                < 9 => Write("damaged.wav", Bytes(take, random)),
                < 18 => Write("damaged.json", Json(session, random)),
                _ => Write("damaged.sofa", Bytes(head, random, from: random.Next(2) == 0 ? 0 : head.Length / 2)),
            };
            Try(seed, Arguments(damaged, seed), exitCodes);
        }

        Assert.True(failures.Count == 0, string.Join('\n', failures));
        // Damage that everything survives, or nothing, would try nothing.
        Assert.All(exitCodes, count => Assert.InRange(count, 1, Count - 1));
    }

    private string[] Arguments(string damaged, int seed) => Path.GetExtension(damaged) switch
    {
        ".wav" => (seed % 3) switch
        {
            0 => ["convert", concert.Session, damaged, concert.Out, "--replace"],
            1 => ["patch", concert.Session, damaged, "--ambience"],
            _ => ["align", concert.Session, damaged, concert.File("aligned"), "--replace"],
        },
        ".json" => (seed % 8) switch
        {
            0 => ["rig", damaged],
            1 => ["rig", damaged, "--spot", "flute=9"],
            2 => ["mix", damaged, concert.Take, concert.Out, "--replace"],
            3 => ["report", damaged, concert.File("page.html"), "--replace"],
            4 => ["plan", damaged],
            5 => ["rig", damaged, "--rename", "harp=flute", "--mount", "main=0,0,180"],
            6 => ["rig", damaged, "--remove", "harp"],
            _ => ["align", damaged, concert.Take, concert.File("aligned"), "--place", "--replace"],
        },
        _ => ["listen", concert.Session, concert.File("field.wav"), concert.Out, "--hrtf", damaged, "--replace"],
    };

    private void Try(int seed, string[] arguments, int[] exitCodes)
    {
        var (processor, allocated) = (Process.GetCurrentProcess().TotalProcessorTime, GC.GetTotalAllocatedBytes());
        CommandLine? result = null;
        var run = new Thread(() => result = CommandLine.Run([.. arguments, "--json"])) { IsBackground = true };
        run.Start();
        void Fail(string what) => failures.Add($"file {seed}, {string.Join(' ', arguments.Select(a => Path.GetFileName(a)))}: {what}");
        if (!run.Join(TimeSpan.FromMinutes(5)))
        {
            Fail("has not ended");
            return;
        }
        if (result is not { ExitCode: >= 0 and <= 2 })
            Fail($"ended with {result?.ExitCode}");
        else
            exitCodes[result.ExitCode]++;
        if (result?.Out.Contains("internal-error", StringComparison.Ordinal) != false || result.Out.Contains("out-of-memory", StringComparison.Ordinal))
            Fail($"is called a fault of the program: {result?.Out}");
        var seconds = (Process.GetCurrentProcess().TotalProcessorTime - processor).TotalSeconds;
        if (seconds > MaxProcessorSeconds)
            Fail($"took {seconds:0} s of the processor");
        // All that was ever asked for, which is more than was ever held at once.
        if (GC.GetTotalAllocatedBytes() - allocated is var bytes && bytes > MaxBytes)
            Fail($"asked for {bytes >> 20} MB");
    }

    private string Write(string name, byte[] contents)
    {
        var path = concert.File(name);
        File.WriteAllBytes(path, contents);
        return path;
    }

    /// <summary>Bits turned, numbers made extreme, blocks cut out, doubled or zeroed, ends cut off.</summary>
    private static byte[] Bytes(byte[] whole, Random random, int from = 0)
    {
        var bytes = (byte[])whole.Clone();
        // Heads are where lengths and counts are; most damage goes there.
        int Place() => from + (int)((bytes.Length - from - 8) * Math.Pow(random.NextDouble(), 4));
        for (var times = random.Next(1, 5); times > 0 && bytes.Length > from + 64; times--)
        {
            var at = Place();
            var length = Math.Min(random.Next(1, 64), bytes.Length - at - 4);
            switch (random.Next(7))
            {
                case 0: bytes[at] ^= (byte)(1 << random.Next(8)); break;
                case 1: BinaryPrimitives.WriteUInt32LittleEndian(bytes.AsSpan(at), Extremes[random.Next(Extremes.Length)]); break;
                case 2: random.NextBytes(bytes.AsSpan(at, length)); break;
                case 3: bytes.AsSpan(at, length).Clear(); break;
                case 4: bytes = [.. bytes[..at], .. bytes[(at + length)..]]; break;
                case 5: bytes = [.. bytes[..(at + length)], .. bytes[at..]]; break;
                default: bytes = bytes[..random.Next(at, bytes.Length)]; break;
            }
        }
        return bytes;
    }

    /// <summary>Members lost or doubled, values made into others, nesting without end; now and then just bytes.</summary>
    private static byte[] Json(byte[] whole, Random random)
    {
        if (random.Next(6) == 0)
            return Bytes(whole, random);
        var text = Encoding.UTF8.GetString(whole);
        for (var times = random.Next(1, 4); times > 0; times--)
        {
            var values = Scalars().Matches(text);
            var value = values[random.Next(values.Count)];
            text = random.Next(5) switch
            {
                0 => text.Remove(value.Index, value.Length).Insert(value.Index, "\"other\": 1"),
                1 => text.Insert(value.Index, value.Value + ", "),
                2 when random.Next(20) == 0 => text.Insert(value.Index, $"\"deep\": {new string('[', 20_000)}{new string(']', 20_000)}, "),
                _ => text.Remove(value.Groups[2].Index, value.Groups[2].Length).Insert(value.Groups[2].Index, Values[random.Next(Values.Length)]),
            };
        }
        return Encoding.UTF8.GetBytes(text);
    }

    private byte[] WholeTake()
    {
        var path = concert.File("whole.wav");
        var bext = new byte[602];
        bext[340] = 7;
        using (var output = WavOutput.Create(path, new WavOutputFormat(48000, 5, SampleFormat.Float32) { ChannelNames = ["FLU", "FRD", "BLD", "BRU", "harp"], BroadcastExtension = bext }, replace: true))
        {
            output.Write(Concert.Noise(), 0, 4000);
            output.Complete();
        }
        return File.ReadAllBytes(path);
    }

    private byte[] WholeSession()
    {
        concert.Edit(s => s with
        {
            Title = "Evening",
            Arrays = [s.Arrays[0] with
            {
                TrimSets = [new TrimSet { Name = "line-up", Source = "pink", Db = [0, 0.1, -0.1, 0], UncertaintyDb = [0.01, 0.01, 0.01, 0.01], ToleranceDb = 0.1 }], ActiveTrim = "line-up",
                Patch = new PatchCheck { At = s.Created, Ok = true, Order = ["FLU", "FRD", "BLD", "BRU"], Polarity = [1, 1, 1, 1], Confidence = 0.99 },
            }],
            Spots = [s.Spots[0] with { DistanceM = 3, Clock = new SpotClock { DriftPpm = 3, UncertaintyPpm = 0.1, AtSeconds = 0.1 } }],
            Clicks = [new ClickEntry { TimeSeconds = 0.1, Spot = "harp", SnrDb = 40, DirectToReverberantDb = 3 }],
            Room = new RoomEntry { ReverberationSeconds = 1.2, UncertaintySeconds = 0.1, EdtSeconds = 1.1, C80Db = 2, Claps = 3, Bands = [new RoomBand { FrequencyHz = 1000, T20Seconds = 1.2 }] },
            Notes = new NotesEntry { Place = "a hall", Takes = [new TakeNote { File = "take.wav", Name = "first" }] },
            Stage = new StageEntry
            {
                Array = "main", SpeedOfSound = 343.2, SpeedOfSoundUncertainty = 0.4, TemperatureC = 20, FloorM = -2,
                Spots = [new StageSpot { Id = "harp", PositionM = [2, 1, -1], CovarianceM2 = [0.01, 0, 0, 0.01, 0, 0.04], OwnClaps = 1, OtherClaps = 2 }],
                Claps = [new StageClapEntry { TimeSeconds = 0.1, Spot = "harp", PositionM = [2.2, 1, -1], CovarianceM2 = [0.01, 0, 0, 0.01, 0, 0.04] }],
                Arrays = [new StageArrayEntry { Id = "north", PositionM = [3, 0, 0], CovarianceM2 = [0.01, 0, 0, 0.01, 0, 0.04], TurnDeg = 3 }],
                Closures = [new StageClosure { TimeSeconds = 0.1, Microphone = "harp", ResidualMs = 0.1, Used = true }],
                Bleed = [new StageBleed { Player = "harp", Microphone = "harp", LaterMs = 3, LevelDb = -8, AlignedMs = 1 }],
                Concerns = ["'harp' stands elsewhere"],
            },
            History = [new HistoryEntry { At = s.Created, Command = "measure", Inputs = [new HistoryInput { File = "take.wav", Sha256 = new string('0', 64) }] }],
        });
        return File.ReadAllBytes(concert.Session);
    }

    [GeneratedRegex("""("[A-Za-z0-9]+": )("[^"]*"|-?[0-9.eE+-]+|true|false|null)""")]
    private static partial Regex Scalars();
}

/// <summary>Alone, because it counts the time and the memory of the whole process.</summary>
[CollectionDefinition(nameof(DamagedFilesTests), DisableParallelization = true)]
public sealed class DamagedFiles;
