using System.Runtime.InteropServices;
using System.Text;

namespace CaptureProc.Vst3.Hosting;

/// <summary>The handle of a bundle that libraries on macOS are entered with.</summary>
/// <remarks>Thread: [main]. Source: Core Foundation, CFBundle and CFURL. Not run yet: written from the documentation.</remarks>
internal static unsafe class CoreFoundationBundle
{
    private const string Framework = "/System/Library/Frameworks/CoreFoundation.framework/CoreFoundation";

    public static nint Create(string bundlePath)
    {
        var bytes = Encoding.UTF8.GetBytes(bundlePath);
        fixed (byte* path = bytes)
        {
            var url = CFURLCreateFromFileSystemRepresentation(0, path, bytes.Length, 1);
            if (url == 0)
                return 0;
            var bundle = CFBundleCreate(0, url);
            CFRelease(url);
            return bundle;
        }
    }

    [DllImport(Framework)]
    private static extern nint CFURLCreateFromFileSystemRepresentation(nint allocator, byte* path, nint length, byte isDirectory);

    [DllImport(Framework)]
    private static extern nint CFBundleCreate(nint allocator, nint url);

    [DllImport(Framework)]
    private static extern void CFRelease(nint reference);
}
