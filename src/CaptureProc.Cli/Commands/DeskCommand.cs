using System.CommandLine;
using System.ComponentModel;
using System.Diagnostics;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Text.Json.Nodes;
using CaptureProc.Cli.Frame;
using CaptureProc.DeskServer;
using CaptureProc.Session;

namespace CaptureProc.Cli.Commands;

/// <summary><c>captureproc desk</c>: the same work on a page of this machine's browser.</summary>
internal static class DeskCommand
{
    public const string Name = "desk";

    public static Command Create(Desk desk)
    {
        var places = new Argument<string[]>("SESSION FOLDER")
        {
            Description = "The session file, and the folder that holds the recordings. Usually the folder of the session, or this one.",
            Arity = new ArgumentArity(0, 2),
        };
        var port = Values.Number("--port", "Where the page is served, on this machine alone. Usually any that is free.", "PORT", 1, 65535);
        var noBrowser = new Option<bool>("--no-browser") { Description = "Only prints the address." };
        var pageFolder = Values.Text("--page-folder", "Reads the page from a folder.", "FOLDER");
        pageFolder.Hidden = true;
        var command = new Command(Name, "Opens the session in a browser: waveforms, claps to put right with the mouse, before and after to hear. Ends with Ctrl-C.")
        {
            places, port, noBrowser, pageFolder,
        };
        command.SetAction(parsed =>
        {
            var (session, folder) = Places(parsed.GetValue(places) ?? []);
            Serve(desk, session, folder, (int)(parsed.GetValue(port) ?? 0), parsed.GetValue(pageFolder), !parsed.GetValue(noBrowser));
            return Desk.Done;
        });
        return command;
    }

    // A word of its own, so that the web server is loaded when a desk is opened and not for every command that is listed.
    [MethodImpl(MethodImplOptions.NoInlining)]
    private static void Serve(Desk desk, string? session, string folder, int port, string? pageFolder, bool openBrowser)
    {
        var host = DeskHost.StartAsync(new DeskOptions(folder, Run) { SessionPath = session, Port = port, PageFolder = pageFolder }).GetAwaiter().GetResult();
        using var ended = new ManualResetEventSlim();
        void End(PosixSignalContext signal)
        {
            signal.Cancel = true;
            ended.Set();
        }
        using var interrupt = PosixSignalRegistration.Create(PosixSignal.SIGINT, End);
        using var terminate = PosixSignalRegistration.Create(PosixSignal.SIGTERM, End);
        desk.Show(new JsonObject { ["address"] = host.Address.ToString() });
        desk.Show($"The desk is open at {host.Address}");
        desk.Say("Whoever knows this address can use the desk, from this machine only. Ctrl-C ends it.");
        desk.Flush();
        if (openBrowser && !Browse(host.Address))
            desk.Say("No browser could be opened; open the address by hand.");
        ended.Wait();
        host.DisposeAsync().AsTask().GetAwaiter().GetResult();
        // What a stopped command had half written goes with the desk.
        Leftovers.DiscardAll();
    }

    private static int Run(string[] words, TextWriter stdout, TextWriter stderr, Action<string, double> watcher) =>
        CommandLineProgram.Run(words, stdout, stderr, isTerminal: false, watcher);

    private static (string? Session, string Folder) Places(string[] words)
    {
        if (words is [var session, var folder])
            return (Checked(session), folder);
        if (words is [var one])
            return Directory.Exists(one) ? (null, one) : (Checked(one), Path.GetDirectoryName(Path.GetFullPath(one)) ?? ".");
        return (null, ".");
    }

    private static string Checked(string session)
    {
        _ = SessionStore.ReadToChange(session);
        return Path.GetFullPath(session);
    }

    private static bool Browse(Uri address)
    {
        try
        {
            using var opened = Process.Start(new ProcessStartInfo(address.ToString()) { UseShellExecute = true });
            return true;
        }
        catch (Exception e) when (e is Win32Exception or InvalidOperationException or PlatformNotSupportedException)
        {
            return false;
        }
    }
}
