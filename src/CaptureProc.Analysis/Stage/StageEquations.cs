using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Stage;

/// <summary>What an equation is about.</summary>
internal enum EquationKind
{
    Time,
    Direction,

    /// <summary>A clap is near the spot that it was made for.</summary>
    Owner,

    /// <summary>Common knowledge; never left out.</summary>
    Prior,
}

/// <summary>One equation, linear about a state: residual over deviation, and its slopes.</summary>
/// <param name="Clap">−1 where it is about none.</param>
/// <param name="Microphone">−1 where it is about none.</param>
internal sealed record Equation(EquationKind Kind, int Clap, int Microphone)
{
    private readonly int[] at = new int[12];
    private readonly double[] slope = new double[12];
    private int count;

    /// <summary>Predicted less measured, over the deviation.</summary>
    public double Residual { get; set; }

    public double Weight { get; set; } = 1;

    public ReadOnlySpan<int> At => at.AsSpan(0, count);

    public ReadOnlySpan<double> Slope => slope.AsSpan(0, count);

    public void Clear() => count = 0;

    public void Add(int unknown, double value) => (at[count], slope[count++]) = (unknown, value);

    public void Add(int place, Vector3D value)
    {
        Add(place, value.X);
        Add(place + 1, value.Y);
        Add(place + 2, value.Z);
    }
}

/// <summary>All equations of a stage.</summary>
/// <remarks>Thread: one instance a thread. The order of the equations never changes, so a weight stays with its equation.</remarks>
internal sealed class StageEquations
{
    private readonly StageInput input;
    private readonly List<Equation> all = [];
    private int next;

    public StageEquations(StageInput input, StageState state)
    {
        this.input = input;
        Linearise(state);
    }

    public IReadOnlyList<Equation> All => all;

    /// <summary>Computes residuals and slopes anew; weights stay.</summary>
    public void Linearise(StageState state)
    {
        next = 0;
        for (var clap = 0; clap < input.Claps.Count; clap++)
        {
            foreach (var time in input.Claps[clap].Times)
                AddTime(state, clap, time);
            foreach (var direction in input.Claps[clap].Directions)
                AddDirection(state, clap, direction);
            if (input.Claps[clap].Spot is { } spot)
                AddOwner(state, clap, input.MicrophoneOf(spot));
            var at = StageState.ClapAt(clap);
            AddHeight(state, at, StagePriors.HandsM, StagePriors.HandsSigmaM);
            AddReach(state, at);
        }
        for (var microphone = 1; microphone < input.MicrophoneCount; microphone++)
        {
            var at = state.MicrophoneAt(microphone);
            if (microphone < input.ArrayCount)
            {
                AddHeight(state, at, StagePriors.ArrayM, StagePriors.ArraySigmaM);
                for (var axis = 0; axis < 3; axis++)
                    AddPrior(state, state.TurnAt(microphone) + axis, 0, Math.PI);
            }
            else
                AddHeight(state, at, StagePriors.SpotM, StagePriors.SpotSigmaM);
            AddReach(state, at);
            AddPrior(state, at + 3, 0, StagePriors.OwnDelayM);
        }
        AddPrior(state, state.FloorAt, StagePriors.FloorM, StagePriors.FloorSigmaM);
        // Scale is nobody's to tell but the tape's: without one it stays where the thermometer has put it.
        AddPrior(state, state.SpeedAt, 0, input.Taped.Count > 0 ? StagePriors.SpeedShare : 1e-6);
        foreach (var taped in input.Taped)
            AddTaped(state, taped);
        foreach (var known in input.Known)
            AddKnown(state, known);
    }

    private Equation Next(EquationKind kind, int clap, int microphone)
    {
        if (next == all.Count)
            all.Add(new Equation(kind, clap, microphone));
        all[next].Clear();
        return all[next++];
    }

    private void AddTime(StageState state, int clap, HeardTime heard)
    {
        var equation = Next(EquationKind.Time, clap, heard.Microphone);
        var (path, toClap) = Path(state.Clap(clap), state.Microphone(heard.Microphone));
        var speed = Math.Exp(state.Values[state.SpeedAt]);
        var sigma = heard.SigmaSeconds * input.SpeedOfSoundMps;
        var at = StageState.ClapAt(clap);
        var late = state.Values[at + 3] + path / speed - heard.Seconds * input.SpeedOfSoundMps;
        equation.Add(at, 1 / (speed * sigma) * toClap);
        equation.Add(at + 3, 1 / sigma);
        if (heard.Microphone > 0)
        {
            var there = state.MicrophoneAt(heard.Microphone);
            late += state.Values[there + 3];
            equation.Add(there, -1 / (speed * sigma) * toClap);
            equation.Add(there + 3, 1 / sigma);
        }
        equation.Add(state.SpeedAt, -path / (speed * sigma));
        equation.Residual = late / sigma;
    }

    private void AddDirection(StageState state, int clap, HeardDirection heard)
    {
        var (path, toClap) = Path(state.Clap(clap), state.Microphone(heard.Array));
        var measured = state.Turns[heard.Array].Apply(heard.Direction).Normalised();
        var (first, second) = Tangents(measured);
        // The angle, not its sine: what lies behind must not look right.
        var cosine = Math.Clamp(Vector3D.Dot(measured, toClap), -1, 1);
        var sine = Math.Sqrt(1 - cosine * cosine);
        var stretch = sine > 1e-9 ? Math.Acos(cosine) / sine : 1;
        foreach (var tangent in (ReadOnlySpan<Vector3D>)[first, second])
        {
            var equation = Next(EquationKind.Direction, clap, heard.Array);
            var off = Vector3D.Dot(tangent, toClap);
            var slope = stretch / (path * heard.SigmaRad) * (tangent - off * toClap);
            equation.Add(StageState.ClapAt(clap), slope);
            if (heard.Array > 0)
            {
                equation.Add(state.MicrophoneAt(heard.Array), -slope);
                // Turning the measured direction by ω moves it by ω×m, so the residual by −tangent·(ω×m).
                equation.Add(state.TurnAt(heard.Array), -1 / heard.SigmaRad * Vector3D.Cross(measured, tangent));
            }
            equation.Residual = stretch * off / heard.SigmaRad;
        }
    }

    private void AddOwner(StageState state, int clap, int microphone)
    {
        var equation = Next(EquationKind.Owner, clap, microphone);
        var (path, toClap) = Path(state.Clap(clap), state.Microphone(microphone));
        equation.Add(StageState.ClapAt(clap), 1 / StagePriors.OwnDistanceSigmaM * toClap);
        equation.Add(state.MicrophoneAt(microphone), -1 / StagePriors.OwnDistanceSigmaM * toClap);
        equation.Residual = (path - StagePriors.OwnDistanceM) / StagePriors.OwnDistanceSigmaM;
    }

    private void AddHeight(StageState state, int place, double aboveFloorM, double sigmaM)
    {
        var equation = Next(EquationKind.Prior, -1, -1);
        equation.Add(place + 2, 1 / sigmaM);
        equation.Add(state.FloorAt, -1 / sigmaM);
        equation.Residual = (state.Values[place + 2] - state.Values[state.FloorAt] - aboveFloorM) / sigmaM;
    }

    private void AddReach(StageState state, int place)
    {
        AddPrior(state, place, 0, StagePriors.ReachM);
        AddPrior(state, place + 1, 0, StagePriors.ReachM);
    }

    private void AddPrior(StageState state, int unknown, double mean, double sigma)
    {
        var equation = Next(EquationKind.Prior, -1, -1);
        equation.Add(unknown, 1 / sigma);
        equation.Residual = (state.Values[unknown] - mean) / sigma;
    }

    private void AddTaped(StageState state, TapedDistance taped)
    {
        var equation = Next(EquationKind.Prior, -1, -1);
        var at = state.MicrophoneAt(input.MicrophoneOf(taped.Spot));
        var (path, outwards) = Path(state.Place(at), default);
        equation.Add(at, 1 / taped.SigmaM * outwards);
        equation.Residual = (path - taped.Metres) / taped.SigmaM;
    }

    private void AddKnown(StageState state, KnownPlace known)
    {
        // The axes of its ellipsoid are not worth their code here: three coordinates by their own deviations are a little less sure.
        var at = state.MicrophoneAt(input.MicrophoneOf(known.Spot));
        var (x, y, z) = known.Place.PositionM;
        AddPrior(state, at, x, Math.Sqrt(known.Place.Covariance[0]));
        AddPrior(state, at + 1, y, Math.Sqrt(known.Place.Covariance[3]));
        AddPrior(state, at + 2, z, Math.Sqrt(known.Place.Covariance[5]));
    }

    /// <summary>Length and direction from one place to another; never 0, so that slopes stay finite.</summary>
    private static (double Length, Vector3D Unit) Path(Vector3D to, Vector3D from)
    {
        var way = to - from;
        var length = Math.Max(0.01, way.Length);
        return (length, 1 / length * way);
    }

    private static (Vector3D First, Vector3D Second) Tangents(Vector3D u)
    {
        var first = Vector3D.Cross(Math.Abs(u.Z) < 0.9 ? Vector3D.Up : Vector3D.Front, u).Normalised();
        return (first, Vector3D.Cross(u, first));
    }
}
