using CaptureProc.Vst3.Abi;

namespace CaptureProc.Vst3.Com;

/// <summary>Whole reads and writes over a host's byte stream.</summary>
/// <remarks>Thread: [main]. A stream may give less than asked for and still say "ok", so both directions loop.</remarks>
public static unsafe class NativeStream
{
    /// <summary>Everything from here to the end, or to the limit, whichever comes first.</summary>
    public static byte[] ReadToEnd(IBStream* stream, int limitBytes)
    {
        var bytes = new byte[Math.Min(4096, limitBytes)];
        var length = 0;
        while (true)
        {
            if (length == bytes.Length)
            {
                if (length == limitBytes)
                    return bytes;
                Array.Resize(ref bytes, (int)Math.Min(2L * length, limitBytes));
            }
            var count = 0;
            int result;
            fixed (byte* target = &bytes[length])
                result = stream->Table->Read(stream, target, bytes.Length - length, &count);
            if (result != Result.Ok || count <= 0)
                break;
            length += Math.Min(count, bytes.Length - length);
        }
        Array.Resize(ref bytes, length);
        return bytes;
    }

    /// <summary>False when the stream refuses to take all of it.</summary>
    public static bool WriteAll(IBStream* stream, ReadOnlySpan<byte> bytes)
    {
        fixed (byte* source = bytes)
        {
            var written = 0;
            while (written < bytes.Length)
            {
                var count = 0;
                if (stream->Table->Write(stream, source + written, bytes.Length - written, &count) != Result.Ok || count <= 0)
                    return false;
                written += count;
            }
        }
        return true;
    }
}
