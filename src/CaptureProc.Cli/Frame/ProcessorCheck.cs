using System.Runtime.InteropServices;
using System.Runtime.Intrinsics.X86;
using CaptureProc.Session;

namespace CaptureProc.Cli.Frame;

/// <summary>Whether the signal code runs here as it was tested: x64 processors have AVX2 and FMA since about 2013.</summary>
internal static class ProcessorCheck
{
    public static void Require()
    {
        if (RuntimeInformation.ProcessArchitecture != Architecture.X64 || Avx2.IsSupported && Fma.IsSupported)
            return;
        throw new UnusableInputException("processor-too-old",
            "this processor has no AVX2 and FMA, which the signal code is made of; run it on an x64 machine made since about 2013");
    }
}
