using CaptureProc.Plugins.Arrays.LineUp;
using CaptureProc.Plugins.Link;
using CaptureProc.Vst3.Effects;

namespace CaptureProc.Plugins.Arrays;

// The line-up: heard while the noise runs, and what of it goes into the project. It has a gate of its own, because reading what has
// been heard takes some milliseconds, which nobody who only asks for a name is to wait for.
public sealed partial class ArrayEffect
{
    private readonly Lock lineUpGate = new();
    private readonly ArrayLineUp lineUp = new();

    public override byte[] SaveExtra()
    {
        lock (lineUpGate)
            return [.. base.SaveExtra(), .. SavedArray.ToBytes(lineUp.Kept, Locked(() => choice.Name))];
    }

    public override void LoadExtra(ReadOnlySpan<byte> extra, StateCondition condition)
    {
        var rest = extra;
        SavedLink.FromBytes(ref rest);
        var (kept, array) = SavedArray.FromBytes(rest);
        Exclusively(() => choice.Restore(array, (int)Host.Plain(ArrayChoice.Index)));
        lock (lineUpGate)
            lineUp.Restore(kept);
        ShowLineUp();
        base.LoadExtra(extra, condition);
        FollowLineUp();
    }

    private void FollowLineUp()
    {
        lock (lineUpGate)
        {
            lineUp.Follow(Host.Plain(LineUpParameters.On) >= 0.5, Volatile.Read(ref sampleRateHz));
            ReadLineUp();
        }
    }

    private void ReadLineUp() => lineUp.Read((int)Host.Plain(LineUpParameters.Reference), Host.Plain(LineUpParameters.Tolerance));

    // What a hand has just asked for shows at once, also while no sound runs.
    private void ShowLineUp() => lineUp.Show(Host);
}
