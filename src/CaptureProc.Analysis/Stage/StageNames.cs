namespace CaptureProc.Analysis.Stage;

/// <summary>What the microphones of a stage are called, in their order.</summary>
public sealed record StageNames(IReadOnlyList<string> Arrays, IReadOnlyList<string> Spots)
{
    public string Of(int microphone) => microphone < Arrays.Count ? Arrays[microphone] : Spots[microphone - Arrays.Count];
}
