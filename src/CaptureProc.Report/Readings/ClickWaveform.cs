namespace CaptureProc.Report.Readings;

/// <summary>One click as the array's W and a spot hold it, around its arrival at the array.</summary>
/// <param name="TimeSeconds">Arrival at the array, in the recording, to the sample.</param>
/// <param name="BeforeStartMs">Time of the first sample of the two recorded stretches, from the arrival.</param>
/// <param name="AfterStartMs">The same for the two aligned stretches.</param>
public sealed record ClickWaveform(
    string SpotId, double TimeSeconds, double SampleRateHz, double BeforeStartMs, float[] ArrayBefore, float[] SpotBefore,
    double AfterStartMs, float[] ArrayAfter, float[] SpotAfter);
