using CaptureProc.Rendering.Delivery.Mp4;
using CaptureProc.Session;

namespace CaptureProc.Rendering.Delivery;

/// <summary>Puts a sound field beside a picture in MP4 or MOV and marks it with the spatial-audio box.</summary>
/// <remarks>
/// MP4 takes Opus of mapping family 2, MOV takes 24-bit PCM: both keep the channels in order. AAC does not, as it sorts four
/// channels into a loudspeaker layout with the centre first. The picture is copied as it is.
/// </remarks>
internal static class PictureFile
{
    private const string Purpose = "MP4 and MOV files";

    /// <param name="soundPath">Opus for MP4, AmbiX WAV for MOV.</param>
    /// <param name="path">Written over.</param>
    public static void Join(string soundPath, string? picturePath, DeliveryContainer container, int order, string title, string path)
    {
        var ffmpeg = ExternalProgram.Find("ffmpeg") ?? throw new UnusableInputException("program-missing",
            $"{Purpose}: ffmpeg is not installed; install it, or deliver a WAV file (--as ambix)");
        string[] picture = picturePath is null ? [] : ["-i", picturePath];
        string[] maps = picturePath is null ? ["-map", "0:a"] : ["-map", "1:v:0", "-map", "0:a", "-c:v", "copy"];
        string[] sound = container == DeliveryContainer.Mov ? ["-c:a", "pcm_s24le", "-f", "mov"] : ["-c:a", "copy", "-strict", "-2", "-f", "mp4"];
        ffmpeg.Run(["-nostdin", "-v", "error", "-y", "-i", soundPath, .. picture, .. maps, "-map_metadata", "-1", .. sound, "-metadata", $"title={title}", path], Purpose);
        using var stream = new FileStream(path, FileMode.Open, FileAccess.ReadWrite);
        SampleDescription.Append(stream, SpatialAudioBox.ForField(order));
    }
}
