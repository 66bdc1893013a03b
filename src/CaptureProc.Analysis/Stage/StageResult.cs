using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Stage;

/// <summary>What was heard of a clap by one microphone, against what the places say.</summary>
/// <param name="Microphone">As in <see cref="StageInput"/>.</param>
/// <param name="ResidualSeconds">Heard less expected; positive: later than the way explains.</param>
/// <param name="OffDeviations">How far it is off what everybody else says, in deviations; 0 where nobody else says anything.</param>
/// <param name="SigmaSeconds">How well everybody else tells it; infinite where they do not.</param>
/// <param name="IsUsed">False: it does not close, and was left out.</param>
public sealed record StageResidual(int Clap, int Microphone, double ResidualSeconds, double OffDeviations, double SigmaSeconds, bool IsUsed);

/// <summary>The same of a direction.</summary>
public sealed record DirectionResidual(int Clap, int Array, double OffDeg, double OffDeviations, bool IsUsed);

/// <summary>The places of a stage.</summary>
public sealed class StageResult
{
    private readonly StageFit fit;

    private StageResult(StageFit fit) => this.fit = fit;

    /// <summary>One a spot: where its microphone is.</summary>
    public required IReadOnlyList<StagePlace> Spots { get; init; }

    /// <summary>One a clap of the input.</summary>
    public required IReadOnlyList<StagePlace> Claps { get; init; }

    /// <summary>Every further array, in order.</summary>
    public required IReadOnlyList<StageArray> Arrays { get; init; }

    public required IReadOnlyList<StageResidual> Times { get; init; }

    public required IReadOnlyList<DirectionResidual> Directions { get; init; }

    /// <summary>Claps that lie too far from the spot they were given to.</summary>
    public required IReadOnlyList<int> Strayed { get; init; }

    /// <summary>Height of the floor below the array, from where people clap: rough.</summary>
    public required double FloorM { get; init; }

    /// <summary>The speed of sound that a taped distance asks for, with its deviation; the stated one without a tape.</summary>
    public required (double Mps, double SigmaMps) Speed { get; init; }

    /// <summary>Weighted sum of squares over its degrees of freedom: 1 where the stated deviations are true.</summary>
    public required double ReducedChiSquare { get; init; }

    internal static StageResult Of(StageFit fit, IReadOnlyList<MirroredPlace> mirrored)
    {
        var (input, state) = (fit.Input, fit.State);
        var variance = Math.Max(1, ReducedChi(fit));
        var times = new List<StageResidual>();
        var directions = new List<DirectionResidual>();
        var strayed = new List<int>();
        foreach (var equation in fit.Equations.All)
        {
            if (equation.Kind == EquationKind.Time)
                times.Add(TimeOf(fit, equation));
            else if (equation.Kind == EquationKind.Owner && equation.Weight == 0)
                strayed.Add(equation.Clap);
            else if (equation.Kind == EquationKind.Direction && StageSolver.Halves(fit, equation) is var halves && halves[0] == equation)
                directions.Add(DirectionOf(fit, halves));
        }
        var speed = input.SpeedOfSoundMps * Math.Exp(state.Values[state.SpeedAt]);
        return new StageResult(fit)
        {
            Spots = [.. Enumerable.Range(0, input.SpotCount).Select(s => mirrored[s].Blur(fit.PlaceAt(state.MicrophoneAt(input.MicrophoneOf(s)), variance)))],
            Claps = [.. Enumerable.Range(0, input.Claps.Count).Select(c => fit.PlaceAt(StageState.ClapAt(c), variance))],
            Arrays = [.. Enumerable.Range(1, input.ArrayCount - 1).Select(a => StageArray.Of(fit, a, variance))],
            Times = times,
            Directions = directions,
            Strayed = strayed,
            FloorM = state.Values[state.FloorAt],
            Speed = (speed, speed * Math.Sqrt(variance * fit.Covariance(state.SpeedAt, state.SpeedAt))),
            ReducedChiSquare = ReducedChi(fit),
        };
    }

    /// <summary>What the way from a clap to the array takes longer than that to its spot, without the array's own arrival.</summary>
    /// <returns>Heard less expected, in seconds, and the deviation of that; infinite where the others do not tell.</returns>
    public (double Seconds, double SigmaSeconds) WithoutArray(int clap, int array = 0)
    {
        Equation[] own = [.. fit.Equations.All.Where(e => e.Clap == clap && e.Microphone == array && e.Kind is EquationKind.Time or EquationKind.Direction)];
        if (Array.Find(own, e => e.Kind == EquationKind.Time) is not { } time)
            return (0, double.PositiveInfinity);
        var sigma = fit.Input.Claps[clap].Times.First(t => t.Microphone == array).SigmaSeconds;
        var (residual, variance) = fit.Predict(time, [.. own.Where(e => e.Clap == clap && e.Microphone == array)]);
        return (-residual * sigma, sigma * Math.Sqrt(variance * Math.Max(1, ReducedChiSquare)));
    }

    /// <summary>Covariance of two coordinates of two spots: to say how far one is from another.</summary>
    internal double Covariance(int spotA, int axisA, int spotB, int axisB)
    {
        var input = fit.Input;
        return Math.Max(1, ReducedChiSquare) * fit.Covariance(
            fit.State.MicrophoneAt(input.MicrophoneOf(spotA)) + axisA, fit.State.MicrophoneAt(input.MicrophoneOf(spotB)) + axisB);
    }

    private static StageResidual TimeOf(StageFit fit, Equation equation)
    {
        var sigma = fit.Input.Claps[equation.Clap].Times.First(t => t.Microphone == equation.Microphone).SigmaSeconds;
        var (residual, variance) = fit.Predict(equation, [equation]);
        var told = double.IsFinite(variance);
        return new StageResidual(equation.Clap, equation.Microphone, -sigma * equation.Residual,
            told ? Math.Abs(residual) / Math.Sqrt(variance) : 0, told ? sigma * Math.Sqrt(variance) : double.PositiveInfinity, equation.Weight > 0);
    }

    private static DirectionResidual DirectionOf(StageFit fit, Equation[] halves)
    {
        var sigma = fit.Input.Claps[halves[0].Clap].Directions.First(d => d.Array == halves[0].Microphone).SigmaRad;
        var off = Math.Sqrt(halves.Sum(h => h.Residual * h.Residual)) * sigma * 180 / Math.PI;
        return new DirectionResidual(halves[0].Clap, halves[0].Microphone, off, StageSolver.Off(fit, halves), halves[0].Weight > 0);
    }

    private static double ReducedChi(StageFit fit)
    {
        var used = fit.Equations.All.Count(e => e.Weight > 0);
        return fit.Cost / Math.Max(1, used - fit.State.Count);
    }
}
