using System.ComponentModel;
using System.Diagnostics;
using CaptureProc.Session;
using Microsoft.Win32.SafeHandles;

namespace CaptureProc.Wav.Containers;

/// <summary>Recordings that are no WAV: AIFF, AIFC, CAF, Wave64 and FLAC, decoded by ffmpeg.</summary>
/// <remarks>
/// ffmpeg is found when it is needed, and plainly missed where it is not there. It decodes into a nameless file of 32-bit floats in
/// the folder for temporary files (TMPDIR), which the system takes away however this process ends: reading goes back and
/// forth, and a compressed file cannot be entered at any frame. Floats hold 24-bit samples exactly.
/// </remarks>
internal static class ForeignFile
{
    private const int HeadBytes = 16;
    private const int BlockBytes = 1 << 20;

    // Wave64 names its chunks by GUIDs; that of the first is 'riff' and then this (as libsndfile's w64.c and ffmpeg's w64.c read it).
    private static ReadOnlySpan<byte> Wave64Rest => [0x2E, 0x91, 0xCF, 0x11, 0xA5, 0xD6, 0x28, 0xDB, 0x04, 0xC1, 0x00, 0x00];

    /// <summary>The name of the container by its first bytes; null where it is none of these.</summary>
    public static string? Recognise(SafeFileHandle handle)
    {
        Span<byte> head = stackalloc byte[HeadBytes];
        head = head[..RandomAccess.Read(handle, head, 0)];
        if (head.Length < HeadBytes)
            return null;
        if (head.StartsWith("FORM"u8) && (head[8..].StartsWith("AIFF"u8) || head[8..].StartsWith("AIFC"u8)))
            return "AIFF";
        if (head.StartsWith("caff"u8))
            return "CAF";
        if (head.StartsWith("fLaC"u8))
            return "FLAC";
        return head.StartsWith("riff"u8) && head[4..].SequenceEqual(Wave64Rest) ? "Wave64" : null;
    }

    /// <summary>Decodes the first audio of a file.</summary>
    /// <param name="path">The file.</param>
    /// <param name="kind">What the messages call it.</param>
    /// <param name="complaint">What ffmpeg found wrong with it, in its own words; null for nothing.</param>
    /// <returns>A WAV file of 32-bit floats without a name, gone when it is closed.</returns>
    public static SafeFileHandle Decode(string path, string kind, out string? complaint)
    {
        var program = Find() ?? throw new UnusableInputException("program-missing",
            $"{path}: is {kind}, which ffmpeg reads for us, and ffmpeg is not installed; install it, or export the recording as WAV");
        var start = new ProcessStartInfo(program,
        [
            "-nostdin", "-hide_banner", "-v", "error", "-i", $"file:{Path.GetFullPath(path)}", "-map", "0:a:0", "-c:a", "pcm_f32le", "-f", "wav", "pipe:1",
        ]) { RedirectStandardOutput = true, RedirectStandardError = true };
        var decoded = Nameless();
        try
        {
            using var process = Process.Start(start)!;
            var errors = process.StandardError.ReadToEndAsync();
            var bytes = Copy(process.StandardOutput.BaseStream, decoded);
            process.WaitForExit();
            complaint = FirstLine(errors.Result);
            if (bytes == 0)
                throw new UnusableInputException("not-a-usable-wav", $"{path}: ffmpeg cannot read this {kind} ({complaint ?? "without a word"}); export it again");
            return decoded;
        }
        catch (Win32Exception e)
        {
            decoded.Dispose();
            throw new UnusableInputException("program-failed", $"{path}: is {kind}, and ffmpeg, which reads it for us, cannot be started ({e.Message})", e);
        }
        catch (IOException e)
        {
            decoded.Dispose();
            throw new UnusableInputException("disk-full",
                $"{path}: cannot be decoded into {Path.GetTempPath()} ({e.Message.TrimEnd('.')}); make room there, or name another folder in TMPDIR", e);
        }
        catch
        {
            decoded.Dispose();
            throw;
        }
    }

    private static long Copy(Stream from, SafeFileHandle to)
    {
        var block = new byte[BlockBytes];
        var at = 0L;
        for (int got; (got = from.ReadAtLeast(block, block.Length, throwOnEndOfStream: false)) > 0; at += got)
            RandomAccess.Write(to, block.AsSpan(0, got), at);
        return at;
    }

    private static SafeFileHandle Nameless()
    {
        var path = Path.Combine(Path.GetTempPath(), $"captureproc-{Guid.NewGuid():N}.wav");
        var handle = File.OpenHandle(path, FileMode.CreateNew, FileAccess.ReadWrite, FileShare.None, FileOptions.DeleteOnClose);
        // Where an open file can lose its name it does so at once, and not even a crash leaves it behind.
        if (!OperatingSystem.IsWindows())
            File.Delete(path);
        return handle;
    }

    private static string? Find()
    {
        var name = OperatingSystem.IsWindows() ? "ffmpeg.exe" : "ffmpeg";
        return (Environment.GetEnvironmentVariable("PATH") ?? "").Split(Path.PathSeparator, StringSplitOptions.RemoveEmptyEntries)
            .Select(folder => Path.Combine(folder, name)).FirstOrDefault(File.Exists);
    }

    private static string? FirstLine(string text) =>
        text.Split('\n', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries).FirstOrDefault();
}
