using System.Globalization;
using CaptureProc.PluginLoad;
using CaptureProc.Vst3.Hosting;

// captureproc-plugin-load BUNDLE.vst3 [INSTANCES [SECONDS]]
if (args.Length < 1)
{
    Console.Error.WriteLine("usage: CaptureProc.PluginLoad BUNDLE.vst3 [INSTANCES [SECONDS]]");
    return 2;
}
CultureInfo.CurrentCulture = CultureInfo.InvariantCulture;
var instances = args.Length > 1 ? int.Parse(args[1], CultureInfo.InvariantCulture) : 50;
var seconds = args.Length > 2 ? double.Parse(args[2], CultureInfo.InvariantCulture) : 10;

using var session = new PublishedDemo();
var before = ProcessMemory.Read();
using var bundle = PluginBundle.Load(args[0]);
Console.WriteLine($"{instances} instances at 48 kHz, {seconds:0} s each; {Environment.ProcessorCount} processors");
Console.WriteLine("memory is the growth of the process (resident / of that private and written to), from before the library was loaded");
Console.WriteLine("load is processor time over playing time; the worst block is wall time over the block's duration");
Console.WriteLine("* without real-time priority, which this user may not have: other programs are in the worst block");
Console.WriteLine();
Console.WriteLine($"{"class",-26}{"block",6}{"what else goes on",26}{"load %",9}{"µs/block",10}{"99.99 %",9}{"worst",8}{"MB",14}");

foreach (var name in bundle.Classes.Select(c => c.Name).Append("all kinds, in turn"))
{
    using var rack = new Rack(bundle, name, instances);
    foreach (var blockFrames in (ReadOnlySpan<int>)[64, 128, 512])
    {
        rack.Start(blockFrames);
        foreach (var disturbance in new[] { Disturbance.None, Disturbance.SessionAndStrings })
        {
            var result = rack.Measure(seconds, disturbance, session);
            var memory = ProcessMemory.Read() - before;
            Console.WriteLine(
                $"{name,-26}{blockFrames,6}{disturbance.Words(),26}{100 * result.Load,9:0.00}{result.MeanMicroseconds,10:0.0}" +
                $"{100 * result.HighShare,8:0}%{100 * result.WorstShare,7:0}%{memory.ResidentMegabytes,8:0.0} / {memory.DirtyMegabytes:0.0}");
        }
    }
}
return 0;
