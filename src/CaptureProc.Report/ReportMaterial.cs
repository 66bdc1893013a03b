using CaptureProc.Report.Readings;

namespace CaptureProc.Report;

/// <summary>What a report shows beside the session file itself.</summary>
public sealed record ReportMaterial
{
    /// <summary>When the page was made.</summary>
    public DateTimeOffset MadeAt { get; init; } = DateTimeOffset.Now;

    /// <summary>The array whose delays and clicks are shown; null for the main array.</summary>
    public string? ArrayId { get; init; }

    /// <summary>The clicks as the recording holds them; empty where there is no recording.</summary>
    public IReadOnlyList<ClickWaveform> Waveforms { get; init; } = [];

    /// <summary>Why there are no waveforms, in words; null where there are.</summary>
    public string? WaveformNote { get; init; }
}
