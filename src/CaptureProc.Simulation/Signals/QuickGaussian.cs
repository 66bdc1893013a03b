namespace CaptureProc.Simulation.Signals;

/// <summary>Gaussian noise by the million: Ziggurat, some nanoseconds a number.</summary>
/// <remarks>
/// Thread: one at a time, with its source of chance. Allocates: the tables, once. Shape: mean 0, variance 1, independent.
/// Source: Marsaglia and Tsang, The Ziggurat Method, J. Statistical Software 5(8), 2000, with 128 layers of 53-bit numbers (tables by its recipe).
/// </remarks>
public static class QuickGaussian
{
    private const int Layers = 128;
    private const double Tail = 3.442619855899;
    private const double Area = 9.91256303526217e-3;
    private static readonly double[] Edge = MakeEdges();
    private static readonly double[] Height = Array.ConvertAll(Edge, Density);

    public static double Next(SeededRandom chance)
    {
        while (true)
        {
            var bits = chance.NextUInt64();
            var layer = (int)(bits & (Layers - 1));
            var x = ((long)bits >> 10) * (1.0 / (1L << 53)) * Edge[layer];
            if (Math.Abs(x) < Edge[layer + 1])
                return x;
            if (layer == 0)
                return FromTail(chance, x < 0);
            if (Height[layer] + chance.Uniform() * (Height[layer + 1] - Height[layer]) < Density(x))
                return x;
        }
    }

    /// <summary>Fills a run with numbers of a standard deviation.</summary>
    public static void Fill(SeededRandom chance, double deviation, Span<double> numbers)
    {
        foreach (ref var number in numbers)
            number = deviation * Next(chance);
    }

    private static double FromTail(SeededRandom chance, bool negative)
    {
        while (true)
        {
            var x = -Math.Log(1 - chance.Uniform()) / Tail;
            var y = -Math.Log(1 - chance.Uniform());
            if (2 * y > x * x)
                return negative ? -(Tail + x) : Tail + x;
        }
    }

    /// <summary>Edge 0 is the width of the bottom layer with the tail spread into it; the edges shrink upwards to 0.</summary>
    private static double[] MakeEdges()
    {
        var edge = new double[Layers + 1];
        (edge[0], edge[1]) = (Area / Density(Tail), Tail);
        for (var i = 2; i < Layers; i++)
            edge[i] = Math.Sqrt(-2 * Math.Log(Area / edge[i - 1] + Density(edge[i - 1])));
        return edge;
    }

    private static double Density(double x) => Math.Exp(-0.5 * x * x);
}
