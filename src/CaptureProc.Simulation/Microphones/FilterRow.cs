namespace CaptureProc.Simulation.Microphones;

/// <summary>Filters one after the other, a sample through all of them at a time, so that none waits for the one before.</summary>
/// <remarks>Thread: one at a time. Starts from rest and goes on from call to call.</remarks>
internal readonly struct FilterRow(Biquad[] filters)
{
    /// <summary>Filters in place.</summary>
    public void Process(Span<double> samples)
    {
        if (filters.Length == 0)
            return;
        for (var i = 0; i < samples.Length; i++)
        {
            var x = samples[i];
            foreach (ref var filter in filters.AsSpan())
                x = filter.Next(x);
            samples[i] = x;
        }
    }
}
