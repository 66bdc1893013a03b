using BenchmarkDotNet.Columns;
using BenchmarkDotNet.Configs;
using BenchmarkDotNet.Diagnosers;
using BenchmarkDotNet.Jobs;
using BenchmarkDotNet.Running;
using BenchmarkDotNet.Toolchains.InProcess.Emit;
using CaptureProc.Benchmarks;
using Perfolizer.Horology;

// In process: the kernels hold no static state that a process of their own would protect, and nothing has to be built anew.
// Many iterations of a few milliseconds, of which the fastest is shown: shorter than a time slice, so that some of them have the
// core to themselves even on a machine that others use too. What disturbs a kernel only ever makes it slower.
var job = Job.Default
    .WithToolchain(InProcessEmitToolchain.Instance)
    .WithWarmupCount(100)
    .WithIterationTime(TimeInterval.FromMilliseconds(4))
    .WithIterationCount(40);
var config = ManualConfig.Create(DefaultConfig.Instance)
    .AddJob(job)
    .AddDiagnoser(MemoryDiagnoser.Default)
    .AddColumn(StatisticColumn.Min, new BlockShareColumn())
    .HideColumns(Column.Mean, Column.Error, Column.StdDev, Column.Ratio, Column.RatioSD, Column.AllocRatio, Column.Gen0);
BenchmarkSwitcher.FromAssembly(typeof(BlockShareColumn).Assembly).Run(args, config);
return 0;
