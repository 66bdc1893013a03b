using CaptureProc.Vst3.Abi;

namespace CaptureProc.Vst3.Effects;

/// <summary>The one audio bus in and the one out of a class, as speaker arrangements.</summary>
/// <remarks>
/// The width of a class never changes: hosts do not negotiate widths reliably, so each width is a class of its own.
/// What a host may change is the meaning of the bits, as long as their number stays.
/// </remarks>
public sealed record BusLayout(ulong Input, ulong Output)
{
    public int InputChannels => SpeakerArrangement.ChannelCount(Input);

    public int OutputChannels => SpeakerArrangement.ChannelCount(Output);
}
