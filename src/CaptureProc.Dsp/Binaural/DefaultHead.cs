namespace CaptureProc.Dsp.Binaural;

/// <summary>The decoder that is used where nobody chose a set of responses.</summary>
/// <remarks>
/// Thread: [main]. Source: Gardner and Martin, HRTF measurements of a KEMAR, J. Acoust. Soc. Am. 97(6), 1995, in the SOFA file that
/// stands in presets/heads, with its notice. The command <c>captureproc head</c> makes the resource from that file.
/// </remarks>
public static class DefaultHead
{
    private const string Resource = "CaptureProc.Dsp.Binaural.measured-mannequin.decoder";

    /// <summary>What it is; its notice says whose, and who measured it.</summary>
    public const string Name = "measured mannequin";

    private static readonly Lazy<BinauralDecoder> decoder = new(Load);

    public static BinauralDecoder Decoder => decoder.Value;

    private static BinauralDecoder Load()
    {
        using var stream = typeof(DefaultHead).Assembly.GetManifestResourceStream(Resource)
            ?? throw new InvalidOperationException($"The assembly lacks its resource {Resource}.");
        return BinauralDecoderFormat.Read(stream).WithName(Name);
    }
}
