using System.CommandLine;
using System.Globalization;
using System.Text.Json.Nodes;
using CaptureProc.Cli.Frame;
using CaptureProc.Dsp.Binaural;
using CaptureProc.Session;
using CaptureProc.Session.Published;
using CaptureProc.Sofa;

namespace CaptureProc.Cli.Commands;

/// <summary><c>captureproc head</c>: looks at a set of head-related responses and makes a decoder of it that plug-ins can read.</summary>
internal static class HeadCommand
{
    public const string Name = "head";

    public static Command Create(Desk desk)
    {
        var path = new Argument<string>("FILE.sofa") { Description = "Head-related impulse responses (SOFA, SimpleFreeFieldHRIR)." };
        var output = new Argument<string?>($"OUT{HeadFile.DecoderExtension}")
        {
            Description = "A decoder for 'listen --hrtf' and the plug-in.",
            Arity = ArgumentArity.ZeroOrOne,
        };
        var publish = Values.Text("--publish", "Offer the decoder to the plug-ins under a name.", "NAME");
        var notice = Values.Text("--notice", "Text of the terms of use, in place of the file's own.", "FILE.txt");
        var replace = GlobalOptions.Replace();
        var command = new Command(Name, "Shows what a set of head-related responses holds, and makes a binaural decoder of it.") { path, output, publish, notice, replace };
        command.SetAction(parsed => Run(desk, parsed.GetRequiredValue(path), parsed.GetValue(output), parsed.GetValue(publish), parsed.GetValue(notice), parsed.GetValue(replace)));
        return command;
    }

    private static int Run(Desk desk, string path, string? output, string? publishAs, string? noticePath, bool replace)
    {
        if (output is not null && !output.EndsWith(HeadFile.DecoderExtension, StringComparison.OrdinalIgnoreCase))
            throw new UnusableInputException("bad-arguments", $"{output}: a decoder's name ends in {HeadFile.DecoderExtension}");
        var head = SofaFile.Read(path);
        var decoder = HeadFile.Design(path, head);
        if (noticePath is not null)
            decoder = decoder.WithNotice(ReadText(noticePath));
        if (output is not null)
        {
            using var file = PendingFile.Create(output, replace);
            file.Guard(stream => BinauralDecoderFormat.Write(decoder, stream));
            file.Complete();
        }
        var published = publishAs is null ? null : PublishedHeads.Publish(publishAs, stream => BinauralDecoderFormat.Write(decoder, stream));
        desk.Show(new JsonObject
        {
            ["file"] = path,
            ["name"] = head.Name,
            ["notice"] = decoder.Notice,
            ["sampleRate"] = head.SampleRateHz,
            ["directions"] = head.Directions.Count,
            ["taps"] = head.TapCount,
            ["decoder"] = output,
            ["published"] = published,
        });
        desk.Show(string.Create(CultureInfo.InvariantCulture,
            $"{path}: {head.Name}, {head.Directions.Count} directions, {head.TapCount} samples each at {head.SampleRateHz:0.###} Hz"));
        desk.Show(decoder.Notice.Length > 0 ? $"terms: {string.Join(' ', decoder.Notice.Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries))}" : "terms: the set states none; ask those who measured it");
        if (output is not null)
            desk.Show($"{output}: binaural decoder for first to third order");
        if (published is not null)
            desk.Show($"'{publishAs}' is offered to the plug-ins ({published}).");
        return Desk.Done;
    }

    private static string ReadText(string path)
    {
        try
        {
            return File.ReadAllText(path).ReplaceLineEndings("\n").Trim();
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new UnusableInputException("file-unreadable", $"{path}: cannot be read ({e.Message.TrimEnd('.')})", e);
        }
    }
}
