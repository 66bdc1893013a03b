using System.Globalization;
using BenchmarkDotNet.Columns;
using BenchmarkDotNet.Reports;
using BenchmarkDotNet.Running;

namespace CaptureProc.Benchmarks;

/// <summary>The fastest time for a block as a share of how long the block lasts at 48 kHz: the load on one core.</summary>
public sealed class BlockShareColumn : IColumn
{
    private const double RateHz = 48000;

    public string Id => nameof(BlockShareColumn);

    public string ColumnName => "Load 48k";

    public string Legend => "Fastest time for a block as a share of its duration at 48 kHz";

    public bool AlwaysShow => true;

    public ColumnCategory Category => ColumnCategory.Custom;

    public int PriorityInCategory => 0;

    public bool IsNumeric => true;

    public UnitType UnitType => UnitType.Dimensionless;

    public bool IsAvailable(Summary summary) => true;

    public bool IsDefault(Summary summary, BenchmarkCase benchmarkCase) => false;

    public string GetValue(Summary summary, BenchmarkCase benchmarkCase, SummaryStyle style) => GetValue(summary, benchmarkCase);

    public string GetValue(Summary summary, BenchmarkCase benchmarkCase)
    {
        if (benchmarkCase.Parameters["BlockFrames"] is not int frames || summary[benchmarkCase]?.ResultStatistics is not { } statistics)
            return "-";
        var share = statistics.Min * 1e-9 * RateHz / frames;
        return (100 * share).ToString("0.0000", CultureInfo.InvariantCulture) + " %";
    }
}
