using CaptureProc.Analysis.Stage;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation;

namespace CaptureProc.Analysis.Tests.Stage;

/// <summary>What a drawn stage is like.</summary>
internal sealed record StageRanges
{
    public int Spots { get; init; } = 8;

    public int FurtherArrays { get; init; }

    public int ClapsPerSpot { get; init; } = 1;

    public double NearestM { get; init; } = 1.8;

    public double FarthestM { get; init; } = 5.5;

    /// <summary>By chance, of every arrival.</summary>
    public double TimeSigmaSeconds { get; init; } = 2e-5;

    /// <summary>The same at every clap: a microphone's own delay, uniform up to this.</summary>
    public double OwnDelaySeconds { get; init; } = 4e-5;

    public double DirectionSigmaDeg { get; init; } = 0.5;

    /// <summary>Share of far arrivals that are a reflection, 0.3 to 12 ms late.</summary>
    public double ReflectionShare { get; init; }

    /// <summary>Share of claps of which the main array hears a reflection first, in time and direction.</summary>
    public double ArrayReflectionShare { get; init; }

    /// <summary>Share of far pairs that hear nothing.</summary>
    public double DeafShare { get; init; }
}

/// <summary>A stage of which everything is true by geometry, and what would be heard on it.</summary>
/// <remarks>Nothing of the solver is in it: places are drawn in a room, and times are lengths over the speed of sound.</remarks>
internal sealed class StageTrial
{
    public const double SpeedMps = 343.2;

    private readonly SeededRandom chance;
    private readonly StageRanges ranges;

    public StageTrial(ulong seed, StageRanges ranges)
    {
        this.ranges = ranges;
        chance = new SeededRandom(seed).Fork("stage");
        var height = chance.Uniform(1.4, 3);
        for (var spot = 0; spot < ranges.Spots; spot++)
        {
            var player = DrawPlayer(height);
            Players.Add(player);
            Spots.Add(DrawNear(player, height));
            OwnDelays.Add(chance.Uniform(-1, 1) * ranges.OwnDelaySeconds);
        }
        for (var array = 0; array < ranges.FurtherArrays; array++)
        {
            Arrays.Add(new Vector3D(chance.Uniform(-6, 6), chance.Uniform(-6, 6), chance.Uniform(1.5, 4) - height));
            Turns.Add(Rotation3D.FromYawPitchRollDeg(chance.Uniform(-180, 180), chance.Uniform(-20, 20), chance.Chance(0.5) ? 180 : chance.Uniform(-20, 20)));
        }
        for (var round = 0; round < ranges.ClapsPerSpot; round++)
            for (var spot = 0; spot < ranges.Spots; spot++)
                AddClap(spot);
    }

    /// <summary>Everything from the main array's centre.</summary>
    public List<Vector3D> Players { get; } = [];

    public List<Vector3D> Spots { get; } = [];

    public List<double> OwnDelays { get; } = [];

    public List<Vector3D> Arrays { get; } = [];

    /// <summary>From a further array's axes to the main one's.</summary>
    public List<Rotation3D> Turns { get; } = [];

    public List<Vector3D> Claps { get; } = [];

    public List<StageClap> Heard { get; } = [];

    /// <summary>Arrivals that are false, as (clap, microphone).</summary>
    public HashSet<(int Clap, int Microphone)> False { get; } = [];

    public StageInput Input => new(1 + ranges.FurtherArrays, ranges.Spots, Heard, SpeedMps);

    public StageInput Without(int clapsOfSpot) => Input with { Claps = [.. Heard.Where(c => c.Spot != clapsOfSpot)] };

    private Vector3D DrawPlayer(double height)
    {
        while (true)
        {
            var azimuth = chance.Uniform(-Math.PI, Math.PI);
            var reach = chance.Uniform(ranges.NearestM, ranges.FarthestM);
            var place = new Vector3D(reach * Math.Cos(azimuth), reach * Math.Sin(azimuth), chance.Uniform(0.8, 1.7) - height);
            if (!Players.Exists(p => (p - place).Length < 1.2))
                return place;
        }
    }

    private Vector3D DrawNear(Vector3D player, double height)
    {
        while (true)
        {
            var way = new Vector3D(chance.Gaussian(), chance.Gaussian(), chance.Gaussian()).Normalised();
            var place = player + chance.Uniform(0.3, 0.9) * way;
            if (place.Z + height > 0.3)
                return place;
        }
    }

    private void AddClap(int spot)
    {
        // Hands do not clap twice at one point.
        var clap = Players[spot] + 0.05 * new Vector3D(chance.Gaussian(), chance.Gaussian(), chance.Gaussian());
        var index = Claps.Count;
        Claps.Add(clap);
        var times = new List<HeardTime>();
        var directions = new List<HeardDirection>();
        var isReflected = chance.Chance(ranges.ArrayReflectionShare);
        for (var microphone = 0; microphone < 1 + Arrays.Count + Spots.Count; microphone++)
        {
            var isArray = microphone <= Arrays.Count;
            var own = microphone == 1 + Arrays.Count + spot;
            var place = microphone == 0 ? default : isArray ? Arrays[microphone - 1] : Spots[microphone - 1 - Arrays.Count];
            if (!own && microphone > 0 && chance.Chance(ranges.DeafShare))
                continue;
            var seconds = (clap - place).Length / SpeedMps + ranges.TimeSigmaSeconds * chance.Gaussian() + (isArray ? 0 : OwnDelays[microphone - 1 - Arrays.Count]);
            var isLate = microphone == 0 ? isReflected : !own && chance.Chance(ranges.ReflectionShare);
            if (isLate)
            {
                seconds += chance.Uniform(0.0003, 0.012);
                False.Add((index, microphone));
            }
            times.Add(new HeardTime(microphone, 10 + seconds, ranges.TimeSigmaSeconds));
            if (!isArray)
                continue;
            var direction = (clap - place).Normalised();
            if (isLate)
                direction = (direction + 0.7 * new Vector3D(chance.Gaussian(), chance.Gaussian(), chance.Gaussian())).Normalised();
            if (microphone > 0)
                direction = Turns[microphone - 1].Inverse().Apply(direction);
            directions.Add(new HeardDirection(microphone, Blur(direction), ranges.DirectionSigmaDeg * Math.PI / 180));
        }
        Heard.Add(new StageClap(spot, times, directions));
    }

    private Vector3D Blur(Vector3D direction)
    {
        var first = Vector3D.Cross(Math.Abs(direction.Z) < 0.9 ? Vector3D.Up : Vector3D.Front, direction).Normalised();
        var sigma = ranges.DirectionSigmaDeg * Math.PI / 180;
        return (direction + sigma * (chance.Gaussian() * first + chance.Gaussian() * Vector3D.Cross(direction, first))).Normalised();
    }

    /// <summary>Distance along the floor.</summary>
    public static double FloorErrorM(StagePlace place, Vector3D truth)
    {
        var off = place.PositionM - truth;
        return Math.Sqrt(off.X * off.X + off.Y * off.Y);
    }

    /// <summary>Whether the 95 % ellipse on the floor holds a place.</summary>
    public static bool Holds(StagePlace place, Vector3D truth)
    {
        var off = place.PositionM - truth;
        var (xx, xy, yy) = (place.Covariance[0], place.Covariance[1], place.Covariance[3]);
        var square = (yy * off.X * off.X - 2 * xy * off.X * off.Y + xx * off.Y * off.Y) / (xx * yy - xy * xy);
        return square <= Ellipse.ChiSquare95;
    }
}
