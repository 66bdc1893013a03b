namespace CaptureProc.Report.Readings;

/// <summary>One click as the array's W and a spot hold it, around its arrival at the array.</summary>
/// <param name="TimeSeconds">Arrival at the array, in the recording, to the sample.</param>
/// <param name="BeforeStartMs">Time of the first sample of the two recorded stretches, from the arrival.</param>
/// <param name="AfterStartSamples">Time of the first point of the two aligned stretches, in samples of the recording from the arrival.</param>
/// <param name="AfterStepSamples">From one of their points to the next: a fraction, since they are drawn from nearer than samples lie.</param>
public sealed record ClickWaveform(
    string SpotId, double TimeSeconds, double SampleRateHz, double BeforeStartMs, float[] ArrayBefore, float[] SpotBefore,
    double AfterStartSamples, double AfterStepSamples, float[] ArrayAfter, float[] SpotAfter);
