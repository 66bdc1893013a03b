using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Wav;

namespace CaptureProc.Rendering.Delivery;

/// <summary>What to make of a mix.</summary>
/// <param name="MixPath">The sound field: 4, 9 or 16 channels.</param>
/// <param name="Files">Where each container goes.</param>
/// <param name="Rendering">What is measured; its inputs are the field's channels.</param>
public sealed record DeliveryPlan(string MixPath, IReadOnlyList<(DeliveryContainer Container, string Path)> Files, StatedRendering Rendering)
{
    /// <summary>EBU R 128's maximum true peak of a programme (from memory for its fifth version).</summary>
    public const double UsualCeilingDbtp = -1;

    /// <summary>Enough that a trained ear needs the original to tell (common practice, no source).</summary>
    public const double UsualKbpsPerChannel = 96;

    public string Title { get; init; } = "";

    /// <summary>How the mix is ordered and scaled.</summary>
    public FieldFormat MixFormat { get; init; }

    /// <summary>Integrated loudness of the rendering; null leaves the level as it is.</summary>
    public double? TargetLufs { get; init; }

    public double CeilingDbtp { get; init; } = UsualCeilingDbtp;

    /// <summary>Of WAV files.</summary>
    public SampleFormat SampleFormat { get; init; } = SampleFormat.Pcm24;

    /// <summary>A film for MP4 and MOV; null makes files without a picture.</summary>
    public string? PicturePath { get; init; }

    /// <summary>Of Opus, all channels together, in kbit/s; null takes the usual.</summary>
    public double? BitrateKbps { get; init; }

    public bool Replace { get; init; }
}
