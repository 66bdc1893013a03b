namespace CaptureProc.Rendering.Delivery;

/// <summary>In what a sound field leaves the house.</summary>
public enum DeliveryContainer
{
    /// <summary>WAV, ACN order, SN3D scale.</summary>
    AmbiX,

    /// <summary>WAV, FuMa order and scale, the sub-format of a B-format in its header.</summary>
    FuMa,

    /// <summary>BW64 with ADM metadata; ACN, SN3D.</summary>
    Bw64,

    /// <summary>Ogg Opus, channel mapping family 2; ACN, SN3D.</summary>
    Opus,

    /// <summary>MP4 with Opus and the spatial-audio box, beside a picture.</summary>
    Mp4,

    /// <summary>MOV with 24-bit PCM and the spatial-audio box, beside a picture.</summary>
    Mov,
}

/// <summary>Names of containers, and what they need.</summary>
public static class DeliveryContainers
{
    /// <summary>The container that a file's name asks for; null where it asks for none that is known.</summary>
    public static DeliveryContainer? ByName(string path) => Path.GetExtension(path).ToUpperInvariant() switch
    {
        ".WAV" => DeliveryContainer.AmbiX,
        ".OPUS" or ".OGG" => DeliveryContainer.Opus,
        ".MP4" or ".M4A" => DeliveryContainer.Mp4,
        ".MOV" => DeliveryContainer.Mov,
        _ => null,
    };

    /// <summary>How a file is called when several are made from one stem.</summary>
    public static string Suffix(this DeliveryContainer container) => container switch
    {
        DeliveryContainer.AmbiX => ".ambix.wav",
        DeliveryContainer.FuMa => ".fuma.wav",
        DeliveryContainer.Bw64 => ".bw64.wav",
        DeliveryContainer.Opus => ".opus",
        DeliveryContainer.Mp4 => ".mp4",
        _ => ".mov",
    };

    public static bool IsWav(this DeliveryContainer container) =>
        container is DeliveryContainer.AmbiX or DeliveryContainer.FuMa or DeliveryContainer.Bw64;
}
