namespace CaptureProc.Report.Readings;

/// <summary>One click as the array's W and a spot hold it, around its arrival at the array.</summary>
/// <param name="TimeSeconds">Arrival at the array, in the recording, to the sample.</param>
/// <param name="BeforeStartMs">Time of the first sample of the two recorded stretches, from the arrival.</param>
/// <param name="AfterStartMs">The same for the two aligned stretches.</param>
/// <param name="Near">The aligned stretches around the arrival, from nearer than samples lie.</param>
public sealed record ClickWaveform(
    string SpotId, double TimeSeconds, double SampleRateHz, double BeforeStartMs, float[] ArrayBefore, float[] SpotBefore,
    double AfterStartMs, float[] ArrayAfter, float[] SpotAfter, NearTraces Near);

/// <summary>Array and aligned spot with several points a sample.</summary>
/// <param name="StartSamples">Time of the first point, in samples of the recording from the arrival.</param>
/// <param name="StepSamples">From one point to the next.</param>
public sealed record NearTraces(double StartSamples, double StepSamples, float[] Array, float[] Spot);
