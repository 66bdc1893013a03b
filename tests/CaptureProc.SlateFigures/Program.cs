using System.Collections.Concurrent;
using CaptureProc.Analysis.Clicks;
using CaptureProc.Simulation.Scenes;
using CaptureProc.SlateFigures;
using CaptureProc.Tests.Shared;

// rooms FOLDER [SNR] [CLAP.wav...]   recorded claps in recorded rooms
var verbose = args.Contains("-v");
args = [.. args.Where(a => a != "-v")];
switch (args)
{
    case ["rooms", var folder, .. var rest]:
        var snrDb = rest.Length > 0 ? double.Parse(rest[0]) : 55;
        var claps = RecordedClaps.All(48000).Concat(rest.Skip(1).Select(f => RecordedClaps.Read(f, 48000))).ToList();
        var figures = new ConcurrentBag<Figure>();
        Parallel.ForEach(Directory.GetFiles(folder, "*.wav").Order().Select((f, i) => (f, i)), file =>
        {
            var room = RecordedRoom.Read(file.f);
            var (channels, delays) = room.Slate(claps, snrDb, (ulong)(100 + file.i));
            var input = new SlateInput(48000, 343.2, RecordedRoom.Array4, Set(0, 4), [.. claps.Select((c, i) => new SpotInput(c.Name, Set(4 + i, 1), null))]);
            var result = new SlateMeasurement(new MemorySource(channels), input).Measure();
            for (var i = 0; i < claps.Count; i++)
                figures.Add(new Figure($"{room.Name[..Math.Min(16, room.Name.Length)]} {claps[i].Name}", delays[i], result.Spots[i], double.NaN, 1));
        });
        if (verbose)
            foreach (var figure in figures.OrderBy(f => f.Of))
                Console.WriteLine(figure);
        Console.WriteLine(FigureTable.Head);
        Console.WriteLine(FigureTable.Row($"recorded claps and rooms, {snrDb} dB", [.. figures]));
        foreach (var clap in claps)
            Console.WriteLine(FigureTable.Row(clap.Name, [.. figures.Where(f => f.Of.EndsWith(" " + clap.Name))]));
        return 0;
    case ["scenes", var count, .. var rest]:
        var parts = rest.Length > 0 ? Enum.Parse<SceneParts>(rest[0]) : SceneParts.Usual;
        double[] ratios = rest.Length > 1 ? [.. rest[1].Split(',').Select(double.Parse)] : [65, 50, 30, 20];
        var seed = rest.Length > 2 ? ulong.Parse(rest[2]) : 1000;
        var ranges = new RealSceneRanges { Parts = parts };
        var drawn = DrawnScenes.Measure(seed, int.Parse(count), ranges, RecordedClaps.All(48000), ratios);
        if (verbose)
            foreach (var (db, all) in drawn)
                foreach (var figure in all.OrderByDescending(f => f.IsGiven ? f.ErrorSamples : 1e9))
                    Console.WriteLine($"{db} dB {figure}");
        Console.WriteLine(FigureTable.Head);
        foreach (var db in ratios)
            Console.WriteLine(FigureTable.Row($"{parts}, {db} dB", drawn[db]));
        return 0;
    default:
        Console.Error.WriteLine("rooms FOLDER [SNR] [CLAP.wav ...]");
        return 2;
}

static ChannelSet Set(int first, int count) => new([.. Enumerable.Range(first, count)], [.. Enumerable.Repeat(1.0, count)]);
