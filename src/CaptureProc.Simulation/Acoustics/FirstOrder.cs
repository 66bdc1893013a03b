namespace CaptureProc.Simulation.Acoustics;

/// <summary>A low-pass of first order, a/(s+a) by the bilinear transform, tuned so that the corner stays where it is.</summary>
internal struct FirstOrder
{
    private readonly double b, feedback;
    private double previous, output;

    public FirstOrder(double cornerHz, double sampleRateHz)
    {
        var k = Math.Tan(Math.PI * cornerHz / sampleRateHz);
        (b, feedback) = (k / (1 + k), (1 - k) / (1 + k));
    }

    public double Low(double input)
    {
        output = b * (input + previous) + feedback * output;
        previous = input;
        return output;
    }
}
