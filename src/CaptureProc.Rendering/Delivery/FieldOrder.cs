using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Session;

namespace CaptureProc.Rendering.Delivery;

/// <summary>Which order a sound field has, and what its channels are.</summary>
public static class FieldOrder
{
    /// <summary>The order of a field with this many channels: 4, 9 or 16.</summary>
    public static int Of(int channels, string path)
    {
        for (var order = 1; order <= SphericalHarmonics.MaxOrder; order++)
            if (SphericalHarmonics.ChannelCount(order) == channels)
                return order;
        throw new UnusableInputException("no-sound-field",
            $"{path}: has {channels} channels; a sound field has 4, 9 or 16: give the output of 'captureproc mix' or 'convert'");
    }

    /// <summary>EBU AudioChannelFunction terms, which exist for ACN order only.</summary>
    public static IReadOnlyList<string?> Functions(int order, FieldFormat format) => format == FieldFormat.AmbiX
        ? [.. Enumerable.Range(0, SphericalHarmonics.ChannelCount(order)).Select(c => $"ACN{c}-{(order == 1 ? "FOA" : $"HOA{order}")}")]
        : [];
}
