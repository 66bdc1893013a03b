namespace CaptureProc.Dsp.Binaural;

/// <summary>The decoder that is used where nobody chose a set of responses.</summary>
/// <remarks>
/// Thread: [main]. Source: the MIT KEMAR measurements (Gardner and Martin, MIT Media Lab, 1994), in the SOFA file that stands
/// in the folder hrtf of this project, with its notice. The command <c>captureproc head</c> makes the resource from that file.
/// </remarks>
public static class DefaultHead
{
    private const string Resource = "CaptureProc.Dsp.Binaural.mit-kemar.decoder";

    private static readonly Lazy<BinauralDecoder> decoder = new(Load);

    public static BinauralDecoder Decoder => decoder.Value;

    private static BinauralDecoder Load()
    {
        using var stream = typeof(DefaultHead).Assembly.GetManifestResourceStream(Resource)
            ?? throw new InvalidOperationException($"The assembly lacks its resource {Resource}.");
        return BinauralDecoderFormat.Read(stream);
    }
}
