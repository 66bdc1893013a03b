namespace CaptureProc.Wav;

/// <summary>What a WAV file to be written looks like.</summary>
/// <param name="SampleRateHz">Frames a second.</param>
/// <param name="ChannelCount">Channels of a frame.</param>
/// <param name="SampleFormat">How a sample is stored.</param>
public sealed record WavOutputFormat(int SampleRateHz, int ChannelCount, SampleFormat SampleFormat)
{
    /// <summary>A name for each channel, written as the iXML track list; null or missing where a channel has none.</summary>
    public IReadOnlyList<string?> ChannelNames { get; init; } = [];

    /// <summary>What each channel is, in EBU AudioChannelFunction terms (ACN0-FOA); null or missing where unknown.</summary>
    public IReadOnlyList<string?> ChannelFunctions { get; init; } = [];

    /// <summary>The recording whose bext and iXML are carried along; its track list gives way to <see cref="ChannelNames"/>.</summary>
    public WavFile? MetadataFrom { get; init; }

    /// <summary>The size from which a file has to be RF64; lower only where the change of header is itself under examination.</summary>
    internal long Rf64FromBytes { get; init; } = uint.MaxValue;
}
