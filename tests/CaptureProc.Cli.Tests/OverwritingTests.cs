using System.Diagnostics;

namespace CaptureProc.Cli.Tests;

/// <summary>Nothing that is read is written over, whatever it is called; sessions, devices and pipes are never replaced.</summary>
public sealed class OverwritingTests : IDisposable
{
    private readonly Concert concert = new();

    public OverwritingTests() => Assert.SkipWhen(OperatingSystem.IsWindows(), "needs links");

    public void Dispose() => concert.Dispose();

    public static TheoryData<string, string> CommandsAndLinks
    {
        get
        {
            var data = new TheoryData<string, string>();
            foreach (var command in (string[])["convert", "mix", "listen", "deliver"])
                foreach (var link in (string[])["link", "hard link", "linked folder"])
                    data.Add(command, link);
            return data;
        }
    }

    [Theory]
    [MemberData(nameof(CommandsAndLinks))]
    public void InputBehindALinkIsNotWrittenOver(string command, string kind)
    {
        var input = concert.Take;
        if (command is "listen" or "deliver")
        {
            Concert.WriteTake(concert.File("field.wav"), Concert.Noise()[..4]);
            input = concert.File("field.wav");
        }
        var output = concert.File("other.wav");
        switch (kind)
        {
            case "link":
                File.CreateSymbolicLink(output, input);
                break;
            case "hard link":
                Run("ln", input, output);
                break;
            default:
                Directory.CreateSymbolicLink(concert.File("elsewhere"), concert.Folder);
                output = Path.Combine(concert.File("elsewhere"), Path.GetFileName(input));
                break;
        }
        var before = File.ReadAllBytes(input);

        CommandLine.Refuses("is the same file as", command, concert.Session, input, output, "--replace");

        Assert.Equal(before, File.ReadAllBytes(input));
    }

    [Fact]
    public void AlignedFileThatIsATakeByALinkedFolderIsNotWrittenOver()
    {
        var harp = concert.File("harp.wav");
        File.Move(concert.Take, harp);
        Directory.CreateSymbolicLink(concert.File("aligned"), concert.Folder);
        var before = File.ReadAllBytes(harp);

        CommandLine.Refuses("is the same file as", "align", concert.Session, harp, concert.File("aligned"), "--replace");

        Assert.Equal(before, File.ReadAllBytes(harp));
    }

    [Theory]
    [InlineData("/dev/null", "is a device or a pipe")]
    [InlineData("pipe", "is a device or a pipe")]
    [InlineData("concert.json", "is a session")]
    public void SessionDeviceAndPipeAreNeverReplaced(string name, string said)
    {
        var output = Path.Combine(concert.Folder, name);
        if (name == "pipe")
            Run("mkfifo", output);
        var before = File.ReadAllBytes(concert.Session);

        CommandLine.Refuses(said, "convert", concert.Session, concert.Take, output, "--replace");

        Assert.Equal(before, File.ReadAllBytes(concert.Session));
        Assert.True(File.Exists(output));
    }

    [Fact]
    public void OutputThatIsALinkIsWrittenWhereItLeads()
    {
        Directory.CreateDirectory(concert.File("disk"));
        var real = Path.Combine(concert.File("disk"), "real.wav");
        File.WriteAllText(real, "old");
        File.CreateSymbolicLink(concert.Out, real);

        Assert.Equal(0, CommandLine.Run("convert", concert.Session, concert.Take, concert.Out, "--replace").ExitCode);

        Assert.Equal(real, new FileInfo(concert.Out).LinkTarget);
        Assert.True(new FileInfo(real).Length > 1000);
    }

    private static void Run(string program, params string[] arguments)
    {
        using var process = Process.Start(program, arguments);
        process.WaitForExit();
        Assert.Equal(0, process.ExitCode);
    }
}
