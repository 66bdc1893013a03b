namespace CaptureProc.Analysis.Stage;

/// <summary>Finds the places of all claps and microphones from times and directions, and what does not fit.</summary>
/// <remarks>
/// Thread: [any]. Cost: some milliseconds for five spots, some ten for twelve.
/// Least squares over everything at once (times of flight, directions, common knowledge of stages), begun at the places of
/// <see cref="StageStart"/>. Arrivals that are wrong are wrong by far, so the fit begins with a loss that hardly grows beyond its
/// scale, and the scale shrinks from half a metre to three deviations (graduated non-convexity with the loss of Geman and McClure). What is
/// then outside is left out; then one equation at a time is tested against all others as geodesists do (Baarda's data snooping),
/// left out or taken back, until every one that counts agrees with the rest. The covariance is that of the last fit.
/// Sources: Plinge, Jacob, Haeb-Umbach and Fink, Acoustic microphone geometry calibration, IEEE Signal Processing Magazine 33(4), 2016 (what
/// times and directions determine, and that both together need no scale); El Badawy, Larsson, Pollefeys and Dokmanić, Localizing
/// unsynchronized sensors with unknown sources, IEEE Transactions on Signal Processing, 2023 (arrivals of unknown sources, refined by
/// Levenberg and Marquardt); Woźniak and Kowalczyk, Sensors 24(1) 114, 2024 (unequal deviations and outliers of reverberant rooms).
/// Baarda and the loss from memory.
/// </remarks>
public static class StageSolver
{
    /// <summary>An equation this many deviations off what all others say is left out: chance does it once in 16,000.</summary>
    internal const double OutDeviations = 4;

    /// <summary>One that was left out comes back within this: chance alone leaves 1 of 1,000 outside.</summary>
    private const double BackDeviations = 3.3;

    private const int MaxRounds = 60;

    // 60 deviations of 1 cm are about the half metre that the start may be off.
    private const double FirstScale = 60, LastScale = 3;

    /// <summary>Null where nothing can be said: no clap with a time at the main array.</summary>
    public static StageResult? Solve(StageInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        if (!input.Claps.Any(c => c.Times.Any(t => t.Microphone == 0)))
            return null;
        var fit = new StageFit(input, StageStart.Of(input));
        Approach(fit);
        Snoop(fit);
        return StageResult.Of(fit, MirroredPlaces.Of(fit));
    }

    private static void Approach(StageFit fit)
    {
        var loss = new StageLoss(fit);
        for (var scale = FirstScale; scale > LastScale; scale /= 2)
            loss.Settle(scale, 3);
        loss.Settle(LastScale, 3);
        var second = new SecondThoughts(fit, loss, LastScale);
        second.Reconsider();
        loss.Settle(LastScale, 3);
        loss.Decide(OutDeviations);
        fit.Settle();
    }

    internal static Equation[] Halves(StageFit fit, Equation equation) => equation.Kind != EquationKind.Direction ? [equation]
        : [.. fit.Equations.All.Where(e => e.Kind == EquationKind.Direction && e.Clap == equation.Clap && e.Microphone == equation.Microphone)];

    private static void Snoop(StageFit fit)
    {
        var returns = new Dictionary<Equation, int>();
        List<Equation[]> blocks = [.. fit.Equations.All.Where(e => e.Kind != EquationKind.Prior).Select(e => Halves(fit, e)).DistinctBy(b => b[0])];
        for (var round = 0; round < MaxRounds; round++)
        {
            if (!fit.Invert())
                return;
            var (worst, most) = (default(Equation[]), OutDeviations);
            var (back, least) = (default(Equation[]), BackDeviations);
            foreach (var block in blocks)
            {
                var off = Off(fit, block);
                if (block[0].Weight > 0 && off > most)
                    (worst, most) = (block, off);
                else if (block[0].Weight == 0 && off < least && returns.GetValueOrDefault(block[0]) < 2)
                    (back, least) = (block, off);
            }
            if ((worst ?? back) is not { } change)
                return;
            foreach (var equation in change)
                equation.Weight = worst is null ? 1 : 0;
            if (worst is null)
                returns[change[0]] = returns.GetValueOrDefault(change[0]) + 1;
            fit.Settle();
        }
        fit.Invert();
    }

    /// <summary>How many deviations an equation is off what all others say; two halves as chance would have one.</summary>
    internal static double Off(StageFit fit, Equation[] block)
    {
        var sum = 0.0;
        foreach (var equation in block)
        {
            var (residual, variance) = fit.Predict(equation, block);
            sum += residual * residual / variance;
        }
        // χ² of two degrees passes x with probability e^(−x/2): at four deviations that is 19.3.
        return block.Length == 1 ? Math.Sqrt(sum) : OutDeviations * Math.Sqrt(sum / 19.3);
    }
}
