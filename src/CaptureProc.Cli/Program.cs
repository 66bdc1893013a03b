using System.Runtime.InteropServices;
using System.Text;
using CaptureProc.Cli;
using CaptureProc.Session;

// Whoever breaks off finds nothing half written: unfinished files go before the process does.
const int brokenOff = 130;
void BreakOff(PosixSignalContext signal)
{
    // Asked last: a command that ends by itself when it is told to, such as the desk, has said so.
    if (signal.Cancel)
        return;
    PendingFile.DiscardAll();
    Environment.Exit(brokenOff);
}
using var interrupt = PosixSignalRegistration.Create(PosixSignal.SIGINT, BreakOff);
using var terminate = PosixSignalRegistration.Create(PosixSignal.SIGTERM, BreakOff);

Console.OutputEncoding = new UTF8Encoding(encoderShouldEmitUTF8Identifier: false);
return CommandLineProgram.Run(args, Console.Out, Console.Error, isTerminal: !Console.IsErrorRedirected);
