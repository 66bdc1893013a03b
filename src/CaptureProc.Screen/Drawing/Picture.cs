using System.Runtime.InteropServices;
using SkiaSharp;

namespace CaptureProc.Screen.Drawing;

/// <summary>Pixels in native memory, for what is drawn without a window.</summary>
/// <remarks>Thread: [main]. Native, because a collector has no business with a picture.</remarks>
public sealed unsafe class Picture(int width, int height) : IDisposable
{
    static Picture() => SkiaLibrary.Prepare();

    private void* memory = NativeMemory.AllocZeroed((nuint)width * (nuint)height * 4);

    public int Width => width;

    public int Height => height;

    public int StrideBytes => width * 4;

    public nint Pixels => (nint)memory;

    public ReadOnlySpan<uint> Row(int y) => new((byte*)memory + (long)y * StrideBytes, width);

    /// <summary>The picture as PNG.</summary>
    public void Save(string path)
    {
        using var image = SKImage.FromPixels(new SKImageInfo(width, height, SKColorType.Bgra8888, SKAlphaType.Opaque), Pixels, StrideBytes);
        using var data = image.Encode(SKEncodedImageFormat.Png, 100);
        using var file = File.Create(path);
        data.SaveTo(file);
    }

    /// <summary>Reads a PNG.</summary>
    public static Picture Load(string path)
    {
        using var bitmap = SKBitmap.Decode(path) ?? throw new InvalidDataException($"'{path}' is no picture.");
        var picture = new Picture(bitmap.Width, bitmap.Height);
        using var pixmap = bitmap.PeekPixels();
        if (!pixmap.ReadPixels(new SKImageInfo(bitmap.Width, bitmap.Height, SKColorType.Bgra8888, SKAlphaType.Opaque), picture.Pixels, picture.StrideBytes, 0, 0))
            throw new InvalidDataException($"'{path}' cannot be converted.");
        return picture;
    }

    public void Dispose()
    {
        NativeMemory.Free(memory);
        memory = null;
    }
}
