using System.Runtime.InteropServices;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Sofa.Tests;

/// <summary>The C library libmysofa as an outside reader of the same file (Debian package libmysofa1).</summary>
internal sealed unsafe class LibMySofa : IDisposable
{
    private const string Library = "libmysofa.so.1";

    private readonly nint set;

    public LibMySofa(string path, float sampleRateHz)
    {
        set = Open(path, sampleRateHz, out var tapCount, out var error);
        if (set == 0)
            throw new InvalidOperationException($"libmysofa refuses {path}: error {error}");
        TapCount = tapCount;
    }

    public int TapCount { get; }

    public (float[] Left, float[] Right) Responses(Vector3D unit, double distanceM)
    {
        var (left, right) = (new float[TapCount], new float[TapCount]);
        fixed (float* l = left, r = right)
        {
            float leftDelay, rightDelay;
            GetFilter(set, (float)(distanceM * unit.X), (float)(distanceM * unit.Y), (float)(distanceM * unit.Z), l, r, &leftDelay, &rightDelay);
        }
        return (left, right);
    }

    public void Dispose() => Close(set);

    [DllImport(Library, EntryPoint = "mysofa_open_no_norm")]
    private static extern nint Open([MarshalAs(UnmanagedType.LPUTF8Str)] string path, float sampleRateHz, out int tapCount, out int error);

    [DllImport(Library, EntryPoint = "mysofa_getfilter_float_nointerp")]
    private static extern void GetFilter(nint set, float x, float y, float z, float* left, float* right, float* leftDelay, float* rightDelay);

    [DllImport(Library, EntryPoint = "mysofa_close")]
    private static extern void Close(nint set);
}
