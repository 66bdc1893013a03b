using CaptureProc.Session;

namespace CaptureProc.Rendering.Delivery;

/// <summary>Makes an Ogg Opus file of a sound field: channel mapping family 2, one stream a channel.</summary>
/// <remarks>
/// The encoding is left to ffmpeg (with libopus), or to opusenc where it knows sound fields. Either may quietly fall back to a
/// loudspeaker layout, which couples channels and reorders them; so the head of what was written is read, and any other
/// family is refused. Source: RFC 8486, section 3.1.
/// </remarks>
internal static class OpusFile
{
    private const string Purpose = "Opus encoding";

    /// <param name="fieldPath">An AmbiX WAV file.</param>
    /// <param name="opusPath">Written over.</param>
    public static void Encode(string fieldPath, string opusPath, int order, double? bitrateKbps, string title) =>
        Encode(fieldPath, opusPath, order, bitrateKbps, title, ExternalProgram.Find);

    /// <param name="find">Where programs are looked for.</param>
    internal static void Encode(string fieldPath, string opusPath, int order, double? bitrateKbps, string title, Func<string, ExternalProgram?> find)
    {
        var channels = (order + 1) * (order + 1);
        var kbps = FormattableString.Invariant($"{bitrateKbps ?? DeliveryPlan.UsualKbpsPerChannel * channels:0}");
        if (find("ffmpeg") is { } ffmpeg)
            ffmpeg.Run(
                ["-nostdin", "-v", "error", "-y", "-ch_layout", $"ambisonic {order}", "-i", fieldPath, "-map", "0:a", "-map_metadata", "-1",
                 "-c:a", "libopus", "-mapping_family", "2", "-b:a", $"{kbps}k", "-metadata", $"title={title}", "-f", "opus", opusPath], Purpose);
        else if (find("opusenc") is { } opusenc)
            EncodeBy(opusenc, ["--quiet", "--channels", "ambix", "--bitrate", kbps, "--title", title, fieldPath, opusPath]);
        else
            throw new UnusableInputException("program-missing",
                "Opus encoding: neither ffmpeg nor opusenc is installed; install ffmpeg, or deliver a WAV file (--as ambix)");

        var head = OpusHead.ReadOgg(opusPath);
        if (head?.IsPlainField(channels) != true)
            throw new UnusableInputException("program-failed",
                $"Opus encoding: the encoder wrote {(head is null ? "no Opus file" : $"channel mapping family {head.MappingFamily}")} instead of family 2; install an ffmpeg with libopus 1.3 or later");
    }
    // opusenc up to 0.2 has no word for sound fields, and says so with its own usage text.
    private static void EncodeBy(ExternalProgram opusenc, string[] arguments)
    {
        try
        {
            opusenc.Run(arguments, Purpose);
        }
        catch (UnusableInputException e)
        {
            throw new UnusableInputException(e.Code, $"{e.Message}; if it is an older one that knows no sound fields, install ffmpeg", e);
        }
    }
}
