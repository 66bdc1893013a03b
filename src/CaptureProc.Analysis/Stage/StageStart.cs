using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Stage;

/// <summary>Where claps and microphones are to half a metre, without any equation being trusted alone.</summary>
/// <remarks>
/// Thread: [any]. A clap lies in its direction, as far off as the array hears it later than the first spot does, and half a metre.
/// With that its time is known, and so its distance from everybody who heard it: a microphone is where most of its distances
/// meet, on a grid, because a distance that a reflection has lengthened must not pull.
/// Source for the order (directions first, then times): Woźniak and Kowalczyk, Sensors 24(1) 114, 2024.
/// </remarks>
internal sealed class StageStart
{
    private const double HalfMetre = 0.5, GridM = 0.35;

    /// <summary>A distance farther off than this says nothing against a place.</summary>
    private const double WildM = 0.7;

    private readonly StageInput input;
    private readonly StageState state;
    private readonly bool[] isPlaced;

    private StageStart(StageInput input, StageState state, bool arePlaced)
    {
        this.input = input;
        this.state = state;
        isPlaced = new bool[input.Claps.Count];
        Array.Fill(isPlaced, arePlaced);
    }

    public static StageState Of(StageInput input)
    {
        var start = new StageStart(input, new StageState(input), false);
        for (var clap = 0; clap < input.Claps.Count; clap++)
            start.PlaceByDirection(clap);
        var floor = start.HeightOfClaps() - StagePriors.HandsM;
        start.state.Values[start.state.FloorAt] = floor;
        for (var microphone = 1; microphone < input.MicrophoneCount; microphone++)
            start.PlaceMicrophone(microphone, floor + (microphone < input.ArrayCount ? StagePriors.ArrayM : StagePriors.SpotM));
        for (var clap = 0; clap < input.Claps.Count; clap++)
            if (!start.isPlaced[clap])
                start.PlaceByTimes(clap, floor + StagePriors.HandsM);
        for (var array = 1; array < input.ArrayCount; array++)
            start.state.Turns[array] = start.TurnOf(array);
        return start.state;
    }

    /// <summary>The state with one clap where the spots' times have it, whatever the arrays say.</summary>
    public static StageState WithClapBySpots(StageInput input, StageState state, int clap)
    {
        var start = new StageStart(input, state.Moved([]), true);
        start.PlaceByTimes(clap, state.Values[state.FloorAt] + StagePriors.HandsM, input.ArrayCount);
        return start.state;
    }

    /// <summary>The state with one microphone where its distances from the claps meet, at a height above the floor.</summary>
    public static StageState WithMicrophone(StageInput input, StageState state, int microphone, double aboveFloorM)
    {
        var start = new StageStart(input, state.Moved([]), true);
        start.PlaceMicrophone(microphone, state.Values[state.FloorAt] + aboveFloorM);
        start.state.Values[state.MicrophoneAt(microphone) + 3] = 0;
        if (microphone < input.ArrayCount)
            start.state.Turns[microphone] = start.TurnOf(microphone);
        return start.state;
    }

    private double Metres(double seconds) => seconds * input.SpeedOfSoundMps;

    private void PlaceByDirection(int clap)
    {
        var (times, directions) = (input.Claps[clap].Times, input.Claps[clap].Directions);
        foreach (var direction in directions)
            foreach (var here in times)
                if (direction.Array == 0 && here.Microphone == 0)
                {
                    var first = times.Min(t => t.Seconds);
                    var distance = Math.Clamp(Metres(here.Seconds - first) + HalfMetre, HalfMetre, 30);
                    Put(clap, distance * direction.Direction, Metres(here.Seconds) - distance);
                    isPlaced[clap] = true;
                }
    }

    private void Put(int clap, Vector3D place, double timeM)
    {
        state.Put(StageState.ClapAt(clap), place);
        state.Values[StageState.ClapAt(clap) + 3] = timeM;
    }

    private double HeightOfClaps()
    {
        double[] heights = [.. Enumerable.Range(0, isPlaced.Length).Where(i => isPlaced[i]).Select(i => state.Clap(i).Z).Order()];
        return heights.Length > 0 ? heights[heights.Length / 2] : StagePriors.FloorM + StagePriors.HandsM;
    }

    private void PlaceMicrophone(int microphone, double heightM)
    {
        var seen = new List<(Vector3D Clap, double DistanceM)>();
        for (var clap = 0; clap < input.Claps.Count; clap++)
            foreach (var time in input.Claps[clap].Times)
                if (isPlaced[clap] && time.Microphone == microphone)
                    seen.Add((state.Clap(clap), Metres(time.Seconds) - state.Values[StageState.ClapAt(clap) + 3]));
        if (input.Known.FirstOrDefault(k => input.MicrophoneOf(k.Spot) == microphone) is { } known)
            state.Put(state.MicrophoneAt(microphone), known.Place.PositionM);
        else if (seen.Count > 0)
            state.Put(state.MicrophoneAt(microphone), OnGrid(heightM, place => seen.Sum(s => Math.Min(WildM, Math.Abs((s.Clap - place).Length - s.DistanceM)))));
        else
            state.Put(state.MicrophoneAt(microphone), new Vector3D(1, 0, heightM));
    }

    private void PlaceByTimes(int clap, double heightM, int firstMicrophone = 0)
    {
        HeardTime[] times = [.. input.Claps[clap].Times.Where(t => t.Microphone >= firstMicrophone)];
        if (times.Length == 0)
            return;
        var first = times.MinBy(t => t.Seconds);
        var near = state.Microphone(first.Microphone);
        var place = OnGrid(heightM, p => times.Sum(t =>
            Math.Min(WildM, Math.Abs((state.Microphone(t.Microphone) - p).Length - (near - p).Length - Metres(t.Seconds - first.Seconds)))));
        Put(clap, place, Metres(first.Seconds) - (near - place).Length);
    }

    /// <summary>The best place of a grid over all that has been placed so far, and two metres round it.</summary>
    private Vector3D OnGrid(double heightM, Func<Vector3D, double> cost)
    {
        var (left, right, front, back) = (0.0, 0.0, 0.0, 0.0);
        for (var clap = 0; clap < isPlaced.Length; clap++)
            if (isPlaced[clap])
            {
                var (x, y, _) = state.Clap(clap);
                (back, front, right, left) = (Math.Min(back, x), Math.Max(front, x), Math.Min(right, y), Math.Max(left, y));
            }
        foreach (var known in input.Known)
        {
            var (x, y, _) = known.Place.PositionM;
            (back, front, right, left) = (Math.Min(back, x), Math.Max(front, x), Math.Min(right, y), Math.Max(left, y));
        }
        var best = new Vector3D(0, 0, heightM);
        var least = double.PositiveInfinity;
        for (var x = back - 2; x < front + 2; x += GridM)
            for (var y = right - 2; y < left + 2; y += GridM)
            {
                var place = new Vector3D(x, y, heightM);
                var here = cost(place);
                if (here < least)
                    (least, best) = (here, place);
            }
        return best;
    }

    /// <summary>The turn that brings most directions of an array to the claps, from two claps at a time.</summary>
    /// <remarks>Two directions fix a turn (the TRIAD method; Black, AIAA Journal 2, 1964, from memory); the pair that most others agree with wins.</remarks>
    private Rotation3D TurnOf(int array)
    {
        var seen = new List<(Vector3D Heard, Vector3D There)>();
        for (var clap = 0; clap < input.Claps.Count; clap++)
            foreach (var direction in input.Claps[clap].Directions)
                if (direction.Array == array)
                    seen.Add((direction.Direction, (state.Clap(clap) - state.Microphone(array)).Normalised()));
        var (best, least) = (Rotation3D.Identity, double.PositiveInfinity);
        for (var a = 0; a < seen.Count; a++)
            for (var b = 0; b < seen.Count; b++)
            {
                if (a == b || Vector3D.Cross(seen[a].Heard, seen[b].Heard).Length < 0.2 || Vector3D.Cross(seen[a].There, seen[b].There).Length < 0.2)
                    continue;
                var turn = Frame(seen[a].There, seen[b].There) * Frame(seen[a].Heard, seen[b].Heard).Inverse();
                var cost = seen.Sum(s => Math.Min(0.5, (turn.Apply(s.Heard) - s.There).Length));
                if (cost < least)
                    (least, best) = (cost, turn);
            }
        return best;
    }

    /// <summary>The turn that brings front to u, and left into the plane of u and v.</summary>
    private static Rotation3D Frame(Vector3D u, Vector3D v)
    {
        var across = (v - Vector3D.Dot(u, v) * u).Normalised();
        return Rotation3D.FromAxes(u.Normalised(), across);
    }
}
