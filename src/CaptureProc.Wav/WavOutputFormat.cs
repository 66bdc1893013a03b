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

    /// <summary>The loudspeakers that the channels belong to, one bit each (1 left, 2 right); 0 for none, as with fields and takes.</summary>
    public int ChannelMask { get; init; }

    /// <summary>The recording whose bext and iXML are carried along; its track list gives way to <see cref="ChannelNames"/>.</summary>
    public WavFile? MetadataFrom { get; init; }

    /// <summary>Takes the place of the recording's own bext chunk; null carries that along.</summary>
    public byte[]? BroadcastExtension { get; init; }

    /// <summary>Frames since midnight at the first frame, entered in the bext chunk that is carried along; null leaves its own.</summary>
    public long? TimeReferenceFrames { get; init; }

    /// <summary>Further chunks, written before the audio in this order.</summary>
    public IReadOnlyList<WavChunk> Chunks { get; init; } = [];

    /// <summary>Says in the format chunk that the channels are a sound field in FuMa order and scale.</summary>
    public bool IsBFormat { get; init; }

    /// <summary>Writes the 64-bit container of ITU-R BS.2088 whatever the length.</summary>
    public bool IsBw64 { get; init; }

    /// <summary>The size from which a file has to be RF64; lower only where the change of header is itself under examination.</summary>
    internal long Rf64FromBytes { get; init; } = uint.MaxValue;
}
