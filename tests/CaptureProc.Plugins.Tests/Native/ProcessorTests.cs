using System.Diagnostics;
using CaptureProc.Vst3.Hosting;

namespace CaptureProc.Plugins.Tests.Native;

/// <summary>A processor without AVX2 and FMA: refused in words, by the library and on the command line.</summary>
[Collection(NativePlugins.Collection)]
public sealed class ProcessorTests(NativePlugins plugins)
{
    // A host in a few lines: loads, enters, asks for the factory, and says what it got.
    private const string Host = """
        #include <dlfcn.h>
        #include <stdio.h>
        int main(int argc, char **argv)
        {
            void *library = dlopen(argv[1], RTLD_NOW);
            if (!library)
                return puts(dlerror()), 1;
            char entered = ((char (*)(void *))dlsym(library, "ModuleEntry"))(library);
            void *factory = ((void *(*)(void))dlsym(library, "GetPluginFactory"))();
            printf("entered %d, factory %s\n", entered, factory ? "given" : "none");
            return 0;
        }
        """;

    [Fact]
    public void TheLibraryRefusesItAtLoadAndTheHostLivesOn()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux() && System.Runtime.InteropServices.RuntimeInformation.ProcessArchitecture == System.Runtime.InteropServices.Architecture.X64, "the guard stands in the library for x64 Linux");
        var folder = Directory.CreateTempSubdirectory("captureproc-processor-");
        try
        {
            var (source, host) = (Path.Combine(folder.FullName, "host.c"), Path.Combine(folder.FullName, "host"));
            File.WriteAllText(source, Host);
            Assert.Equal(0, Run("gcc", null, source, "-o", host, "-ldl").ExitCode);
            // A processor of 2008, of those that the emulator knows.
            var (exitCode, output, errors) = Run("qemu-x86_64", null, "-cpu", "Nehalem", host, BundleLayout.LibraryOf(plugins.BundlePath));
            Assert.Equal((0, "entered 0, factory none"), (exitCode, output.Trim()));
            Assert.Single(errors.Split('\n', StringSplitOptions.RemoveEmptyEntries), line => line.Contains("AVX2 and FMA", StringComparison.Ordinal));
            // And this one is let in.
            Assert.Equal("entered 1, factory given", Run(host, null, BundleLayout.LibraryOf(plugins.BundlePath)).Output.Trim());
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }

    [Fact]
    public void TheCommandLineRefusesItInOneLineWithExitCodeTwo()
    {
        var program = Path.Combine(AppContext.BaseDirectory, "captureproc.dll");
        // The runtime's own switch: what it reports as missing is missing for the program.
        var (exitCode, output, errors) = Run("dotnet", "DOTNET_EnableAVX2", program, "presets");
        Assert.Equal((2, ""), (exitCode, output));
        Assert.Contains("AVX2 and FMA", Assert.Single(errors.Split('\n', StringSplitOptions.RemoveEmptyEntries)));
        Assert.Equal(0, Run("dotnet", null, program, "presets").ExitCode);
    }

    private static (int ExitCode, string Output, string Errors) Run(string program, string? switchedOff, params string[] args)
    {
        var start = new ProcessStartInfo(program, args) { RedirectStandardOutput = true, RedirectStandardError = true };
        if (switchedOff is not null)
            start.Environment[switchedOff] = "0";
        using var process = Process.Start(start)!;
        var errors = process.StandardError.ReadToEndAsync();
        var output = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        return (process.ExitCode, output, errors.Result);
    }
}
