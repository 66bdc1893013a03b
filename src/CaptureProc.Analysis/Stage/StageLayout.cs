using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Stage;

/// <summary>The unknowns of a stage in one row: places of claps and microphones, times, turns, floor, speed of sound.</summary>
/// <remarks>
/// All lengths, times too (by the stated speed of sound), so that the normal matrix is well scaled. A turn is kept as a matrix, and
/// only its small change is an unknown, so that no angle meets its end.
/// </remarks>
internal sealed class StageState
{
    private readonly StageInput input;

    public StageState(StageInput input)
    {
        this.input = input;
        Values = new double[Count];
        Turns = new Rotation3D[input.ArrayCount];
        Array.Fill(Turns, Rotation3D.Identity);
    }

    private StageState(StageState other)
    {
        input = other.input;
        Values = [.. other.Values];
        Turns = [.. other.Turns];
    }

    public double[] Values { get; }

    /// <summary>What turns a direction as an array states it into the main array's axes.</summary>
    public Rotation3D[] Turns { get; }

    public int Count => SpeedAt + 1;

    /// <summary>x, y, z, and the time of the clap in metres.</summary>
    public static int ClapAt(int clap) => 4 * clap;

    /// <summary>x, y, z, and the microphone's own delay in metres; the main array has none.</summary>
    public int MicrophoneAt(int microphone) => 4 * (input.Claps.Count + microphone - 1);

    /// <summary>Three small turns.</summary>
    public int TurnAt(int array) => 4 * (input.Claps.Count + input.MicrophoneCount - 1) + 3 * (array - 1);

    /// <summary>Height of the floor.</summary>
    public int FloorAt => 4 * (input.Claps.Count + input.MicrophoneCount - 1) + 3 * (input.ArrayCount - 1);

    /// <summary>Logarithm of the speed of sound over the stated one.</summary>
    public int SpeedAt => FloorAt + 1;

    public Vector3D Clap(int clap) => Place(ClapAt(clap));

    public Vector3D Microphone(int microphone) => microphone == 0 ? default : Place(MicrophoneAt(microphone));

    public Vector3D Place(int at) => new(Values[at], Values[at + 1], Values[at + 2]);

    public void Put(int at, Vector3D place) => (Values[at], Values[at + 1], Values[at + 2]) = place;

    /// <summary>The state after a step.</summary>
    public StageState Moved(ReadOnlySpan<double> step)
    {
        var moved = new StageState(this);
        for (var i = 0; i < step.Length; i++)
            moved.Values[i] += step[i];
        for (var array = 1; array < input.ArrayCount; array++)
        {
            var at = TurnAt(array);
            var turn = moved.Place(at);
            moved.Turns[array] = Rotation3D.About(turn.Length > 0 ? turn : Vector3D.Up, turn.Length * 180 / Math.PI) * Turns[array];
            moved.Put(at, default);
        }
        return moved;
    }
}
