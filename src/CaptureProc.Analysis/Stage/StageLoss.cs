namespace CaptureProc.Analysis.Stage;

/// <summary>The loss of Geman and McClure: like squares near zero, never more than its scale squared.</summary>
/// <remarks>Both halves of a direction count together: a direction is right or wrong, not one of its angles.</remarks>
internal sealed class StageLoss
{
    private readonly StageFit fit;
    private readonly Equation[][] blocks;

    public StageLoss(StageFit fit)
    {
        this.fit = fit;
        blocks = [.. fit.Equations.All.Where(e => e.Kind != EquationKind.Prior).Select(e => StageSolver.Halves(fit, e)).DistinctBy(b => b[0])];
    }

    /// <summary>Some turns of weighing and settling.</summary>
    public void Settle(double scale, int turns)
    {
        for (var turn = 0; turn < turns; turn++)
        {
            foreach (var block in blocks)
            {
                var share = scale * scale / (scale * scale + Square(block));
                foreach (var equation in block)
                    equation.Weight = share * share;
            }
            fit.Settle(4);
        }
    }

    /// <summary>The whole loss at the present state.</summary>
    public double Sum(double scale)
    {
        var sum = 0.0;
        foreach (var block in blocks)
        {
            var square = Square(block);
            sum += scale * scale * square / (scale * scale + square);
        }
        foreach (var equation in fit.Equations.All)
            if (equation.Kind == EquationKind.Prior)
                sum += equation.Residual * equation.Residual;
        return sum;
    }

    /// <summary>From weights to in or out.</summary>
    public void Decide(double deviations)
    {
        foreach (var block in blocks)
            foreach (var equation in block)
                equation.Weight = Square(block) < deviations * deviations ? 1 : 0;
    }

    /// <summary>Whether something about a clap (or a microphone) is off.</summary>
    public bool IsStrained(Func<Equation, bool> about, double deviations) => blocks.Any(b => about(b[0]) && Square(b) > deviations * deviations);

    private static double Square(Equation[] block)
    {
        var sum = 0.0;
        foreach (var equation in block)
            sum += equation.Residual * equation.Residual;
        return sum;
    }
}
