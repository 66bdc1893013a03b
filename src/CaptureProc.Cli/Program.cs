using System.Runtime.InteropServices;
using System.Text;
using CaptureProc.Cli;
using CaptureProc.Cli.Frame;
using CaptureProc.Session;

// Whoever breaks off finds nothing half written: unfinished files go before the process does, which ends with the shell's code.
void BreakOff(PosixSignalContext context)
{
    // Asked last: a command that ends by itself when it is told to, such as the desk, has said so.
    if (context.Cancel)
        return;
    Leftovers.DiscardAll();
    Environment.Exit(128 + context.Signal switch
    {
        PosixSignal.SIGHUP => 1,
        PosixSignal.SIGINT => 2,
        PosixSignal.SIGQUIT => 3,
        _ => 15,
    });
}
using var hangUp = PosixSignalRegistration.Create(PosixSignal.SIGHUP, BreakOff);
using var interrupt = PosixSignalRegistration.Create(PosixSignal.SIGINT, BreakOff);
using var quit = PosixSignalRegistration.Create(PosixSignal.SIGQUIT, BreakOff);
using var terminate = PosixSignalRegistration.Create(PosixSignal.SIGTERM, BreakOff);

if (StandardStreams.FindClosed() is { } closed)
{
    StandardStreams.Say($"error: {closed} is closed, and the next file that is opened would take its place; send it to a file or to /dev/null");
    return Desk.Unusable;
}
Console.OutputEncoding = new UTF8Encoding(encoderShouldEmitUTF8Identifier: false);
return CommandLineProgram.Run(args, Console.Out, Console.Error, isTerminal: !Console.IsErrorRedirected);
