using CaptureProc.Dsp.Binaural;
using CaptureProc.Dsp.Design.Binaural;
using CaptureProc.Session;
using CaptureProc.Sofa;

namespace CaptureProc.Cli.Commands;

/// <summary>A head to listen through, from a file: measured responses (SOFA) or a decoder made of them before.</summary>
internal static class HeadFile
{
    public const string DecoderExtension = ".decoder";

    public static BinauralDecoder Read(string path)
    {
        if (!path.EndsWith(DecoderExtension, StringComparison.OrdinalIgnoreCase))
            return Design(path, SofaFile.Read(path));
        try
        {
            using var stream = File.OpenRead(path);
            return BinauralDecoderFormat.Read(stream);
        }
        catch (InvalidDataException e)
        {
            throw new UnusableInputException("decoder-damaged", $"{path}: {e.Message.TrimEnd('.')}; make it anew with 'captureproc head'", e);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new UnusableInputException("file-unreadable", $"{path}: cannot be read ({e.Message.TrimEnd('.')})", e);
        }
    }

    public static BinauralDecoder Design(string path, HeadResponses head)
    {
        try
        {
            return BinauralDesign.Design(head);
        }
        catch (InvalidDataException e)
        {
            throw new UnusableInputException("head-unusable", $"{path}: {e.Message}", e);
        }
    }
}
