using System.Diagnostics;
using System.Globalization;
using CaptureProc.PluginLoad;
using CaptureProc.Vst3.Hosting;

// CaptureProc.PluginLoad BUNDLE.vst3 [INSTANCES [SECONDS [CLASS]]]; see README.md.
const string AllKinds = "all kinds, in turn";
if (args.Length < 1)
{
    Console.Error.WriteLine("usage: CaptureProc.PluginLoad BUNDLE.vst3 [INSTANCES [SECONDS [CLASS]]]");
    return 2;
}
CultureInfo.CurrentCulture = CultureInfo.InvariantCulture;
if (args.Length > 3 && args[1] == "least")
{
    // BUNDLE.vst3 least CLASS BLOCK...: for comparisons on a machine that does other work too.
    using var quick = PluginBundle.Load(args[0]);
    foreach (var block in args[3..])
        Console.WriteLine($"{block} {LeastTime.Measure(quick, args[2], int.Parse(block, CultureInfo.InvariantCulture)):0.0}");
    return 0;
}
if (args.Length > 3 && args[1] == "window")
{
    // BUNDLE.vst3 window CLASS SECONDS: see the script windows.
    using var opened = PluginBundle.Load(args[0]);
    Console.WriteLine(WindowCost.Measure(opened, args[2], double.Parse(args[3], CultureInfo.InvariantCulture)));
    return 0;
}
if (args.Length > 2 && args[1] == "wall")
{
    // BUNDLE.vst3 wall SECONDS: the same blocks without windows and with one for every instance, in turn.
    using var demo = new PublishedDemo();
    using var all = PluginBundle.Load(args[0]);
    using var players = new Rack(all, null, 50);
    players.Start(512);
    for (var round = 0; round < 4; round++)
    {
        var result = round % 2 == 0 ? players.Measure(double.Parse(args[2], CultureInfo.InvariantCulture), Disturbance.None, demo) : players.MeasureBesideWindows(double.Parse(args[2], CultureInfo.InvariantCulture), demo);
        Console.WriteLine($"| {(round % 2 == 0 ? "no windows" : "50 windows")} | {100 * result.Load:0.0} % | {100 * result.HighShare:0} % | {100 * result.WorstShare:0} % |");
    }
    return 0;
}
var instances = args.Length > 1 ? int.Parse(args[1], CultureInfo.InvariantCulture) : 50;
var seconds = args.Length > 2 ? double.Parse(args[2], CultureInfo.InvariantCulture) : 3;

if (args.Length < 4)
{
    Console.WriteLine($"{instances} instances at 48 kHz, {seconds:0} s each; {Environment.ProcessorCount} processors");
    Console.WriteLine();
    Console.WriteLine("| class | block | what else goes on | load | 99.99 % | worst | resident | private, written |");
    Console.WriteLine("| --- | --- | --- | --- | --- | --- | --- | --- |");
    using var names = PluginBundle.Load(args[0]);
    // Started by the dotnet program or by its own: only the first has to be told what to run.
    string[] self = Path.GetFileNameWithoutExtension(Environment.ProcessPath) == "dotnet" ? [typeof(Rack).Assembly.Location] : [];
    // Each class in a process of its own, so that no class is charged with what another has left.
    foreach (var name in names.Classes.Select(c => c.Name).Append(AllKinds))
    {
        using var child = Process.Start(Environment.ProcessPath!, [.. self, args[0], $"{instances}", $"{seconds}", name]);
        child.WaitForExit();
        if (child.ExitCode != 0)
            return child.ExitCode;
    }
    return 0;
}

using var session = new PublishedDemo();
var before = ProcessMemory.Read();
using var bundle = PluginBundle.Load(args[0]);
using var rack = new Rack(bundle, args[3] == AllKinds ? null : args[3], instances);
foreach (var blockFrames in (ReadOnlySpan<int>)[64, 128, 512])
{
    rack.Start(blockFrames);
    foreach (var disturbance in new[] { Disturbance.None, Disturbance.SessionAndStrings })
    {
        var result = rack.Measure(seconds, disturbance, session);
        var memory = ProcessMemory.Read() - before;
        Console.WriteLine(
            $"| {args[3].Replace("CaptureProc ", "")} | {blockFrames} | {disturbance.Words()} | {100 * result.Load:0.0} % | {100 * result.HighShare:0} % | " +
            $"{100 * result.WorstShare:0} %{(result.IsRealTime ? "" : " (without real-time priority)")} | {memory.ResidentMegabytes:0} MB | {memory.DirtyMegabytes:0} MB |");
    }
}
return 0;
