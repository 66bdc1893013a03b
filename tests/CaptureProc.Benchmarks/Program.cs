using BenchmarkDotNet.Columns;
using BenchmarkDotNet.Configs;
using BenchmarkDotNet.Diagnosers;
using BenchmarkDotNet.Jobs;
using BenchmarkDotNet.Running;
using BenchmarkDotNet.Toolchains.InProcess.Emit;
using CaptureProc.Benchmarks;

// In process: the kernels hold no static state that a process of their own would protect, and nothing has to be built anew.
var job = Job.ShortRun.WithToolchain(InProcessEmitToolchain.Instance);
var config = ManualConfig.Create(DefaultConfig.Instance)
    .AddJob(job)
    .AddDiagnoser(MemoryDiagnoser.Default)
    .AddColumn(new BlockShareColumn())
    .HideColumns(Column.Error, Column.StdDev, Column.RatioSD, Column.AllocRatio, Column.Gen0);
BenchmarkSwitcher.FromAssembly(typeof(BlockShareColumn).Assembly).Run(args, config);
return 0;
