using System.Numerics;

namespace CaptureProc.Vst3.Abi;

/// <summary>Speaker arrangements: one bit a channel. Only the number of bits can be relied on; hosts name them as they like.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (vstspeaker.h).</remarks>
public static class SpeakerArrangement
{
    public const ulong Mono = 1ul << 19;
    public const ulong Stereo = 0x3;
    public const ulong Quad = 0x33;

    /// <summary>ACN 0…3: bits 20…23.</summary>
    public const ulong AmbisonicOrder1 = 0xFul << 20;

    /// <summary>ACN 0…8: bits 20…23 and 38…42.</summary>
    public const ulong AmbisonicOrder2 = AmbisonicOrder1 | (0x1Ful << 38);

    /// <summary>ACN 0…15: bits 20…23 and 38…49.</summary>
    public const ulong AmbisonicOrder3 = AmbisonicOrder1 | (0xFFFul << 38);

    public static int ChannelCount(ulong arrangement) => BitOperations.PopCount(arrangement);
}
