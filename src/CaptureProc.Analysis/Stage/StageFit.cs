using CaptureProc.Analysis.Fitting;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Stage;

/// <summary>A solved stage: state, equations with their weights, and the covariance of the unknowns.</summary>
/// <remarks>Thread: one at a time.</remarks>
internal sealed class StageFit
{
    private const int MaxSteps = 40;

    private readonly int count;
    private double[] covariance = [];

    public StageFit(StageInput input, StageState state)
    {
        Input = input;
        State = state;
        Equations = new StageEquations(input, state);
        count = state.Count;
    }

    public StageInput Input { get; }

    public StageState State { get; set; }

    public StageEquations Equations { get; }

    /// <summary>Weighted sum of squares.</summary>
    public double Cost { get; private set; }

    /// <summary>Levenberg's and Marquardt's steps until nothing moves, with the weights as they are.</summary>
    public void Settle(int steps = MaxSteps)
    {
        var damping = 1e-4;
        Equations.Linearise(State);
        Cost = Sum();
        for (var i = 0; i < steps && damping < 1e8; i++)
        {
            var matrix = Normal(out var gradient);
            for (var k = 0; k < count; k++)
                matrix[k * count + k] *= 1 + damping;
            if (CholeskyFactor.Factor(matrix, count) is not { } factor)
            {
                damping = Math.Max(1e-6, damping) * 10;
                continue;
            }
            factor.Solve(gradient);
            // A step of metres leaves the range of the slopes.
            var longest = 0.0;
            foreach (var g in gradient)
                longest = Math.Max(longest, Math.Abs(g));
            var limit = -Math.Min(1, 1 / Math.Max(1e-12, longest));
            for (var k = 0; k < count; k++)
                gradient[k] *= limit;
            var before = State;
            State = before.Moved(gradient);
            Equations.Linearise(State);
            var cost = Sum();
            if (cost <= Cost)
            {
                var gain = Cost - cost;
                Cost = cost;
                damping = Math.Max(1e-9, damping / 8);
                if (longest < 1e-5 || (gain < 1e-7 * Cost && longest < 1e-3))
                    return;
            }
            else
            {
                State = before;
                Equations.Linearise(State);
                damping *= 10;
            }
        }
    }

    /// <summary>Makes the covariance ready; false where something is not determined, which the priors exclude.</summary>
    public bool Invert()
    {
        var matrix = Normal(out _);
        if (CholeskyFactor.Factor(matrix, count) is not { } factor)
            return false;
        covariance = new double[count * count];
        var column = new double[count];
        for (var i = 0; i < count; i++)
        {
            Array.Clear(column);
            column[i] = 1;
            factor.Solve(column);
            column.CopyTo(covariance, i * count);
        }
        return true;
    }

    public double Covariance(int a, int b) => covariance[a * count + b];

    public StagePlace PlaceAt(int at, double variance) => new(State.Place(at),
    [
        variance * Covariance(at, at), variance * Covariance(at, at + 1), variance * Covariance(at, at + 2),
        variance * Covariance(at + 1, at + 1), variance * Covariance(at + 1, at + 2), variance * Covariance(at + 2, at + 2),
    ]);

    /// <summary>Covariance of what two equations predict, in deviations.</summary>
    public double Leverage(Equation a, Equation b)
    {
        var sum = 0.0;
        for (var i = 0; i < a.At.Length; i++)
            for (var j = 0; j < b.At.Length; j++)
                sum += a.Slope[i] * b.Slope[j] * covariance[a.At[i] * count + b.At[j]];
        return sum;
    }

    /// <summary>What an equation's residual would be, and its variance, if some equations (itself as a rule) had not been used.</summary>
    /// <returns>Variance infinite where the others do not determine it.</returns>
    public (double Residual, double Variance) Predict(Equation target, IReadOnlyList<Equation> without)
    {
        Equation[] used = [.. without.Where(e => e.Weight > 0)];
        var n = used.Length;
        if (n == 0)
            return (target.Residual, 1 + Leverage(target, target));
        var rest = new double[n * n];
        var (own, residual) = (new double[n], new double[n]);
        for (var i = 0; i < n; i++)
        {
            for (var j = 0; j < n; j++)
                rest[i * n + j] = (i == j ? 1 : 0) - Leverage(used[i], used[j]);
            if (rest[i * n + i] < 1e-6)
                return (0, double.PositiveInfinity);
            (own[i], residual[i]) = (Leverage(target, used[i]), used[i].Residual);
        }
        // Taking equations out of a least-squares fit, by Sherman, Morrison and Woodbury.
        if (SmallSolver.Inverse(rest) is not { } inverse)
            return (0, double.PositiveInfinity);
        var (moved, variance) = (target.Residual, 1 + Leverage(target, target));
        for (var i = 0; i < n; i++)
            for (var j = 0; j < n; j++)
            {
                moved += own[i] * inverse[i * n + j] * residual[j];
                variance += own[i] * inverse[i * n + j] * own[j];
            }
        return (moved, variance);
    }

    private double Sum()
    {
        var sum = 0.0;
        foreach (var equation in Equations.All)
            sum += equation.Weight * equation.Residual * equation.Residual;
        return sum;
    }

    private double[] Normal(out double[] gradient)
    {
        var matrix = new double[count * count];
        gradient = new double[count];
        foreach (var equation in Equations.All)
        {
            if (equation.Weight == 0)
                continue;
            var at = equation.At;
            var slope = equation.Slope;
            for (var i = 0; i < at.Length; i++)
            {
                var weighted = equation.Weight * slope[i];
                gradient[at[i]] += weighted * equation.Residual;
                for (var j = 0; j < at.Length; j++)
                    if (at[j] <= at[i])
                        matrix[at[i] * count + at[j]] += weighted * slope[j];
            }
        }
        return matrix;
    }
}
