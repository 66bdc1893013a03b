using System.CommandLine;
using System.CommandLine.Invocation;
using System.Reflection;

namespace CaptureProc.Cli.Frame;

/// <summary>What <c>--version</c> says: the version, and the commit that this was built from with its date.</summary>
/// <remarks>Both come from git while building; what was built from a tree without git says the version alone.</remarks>
internal sealed class VersionWords : SynchronousCommandLineAction
{
    private const int ShownDigits = 10;

    public override bool ClearsParseErrors => true;

    public static string Text
    {
        get
        {
            var assembly = typeof(VersionWords).Assembly;
            var full = assembly.GetCustomAttribute<AssemblyInformationalVersionAttribute>()?.InformationalVersion ?? "0";
            var (version, commit) = full.Split('+', 2) is [var number, { Length: >= ShownDigits } hash] ? (number, hash[..ShownDigits]) : (full.Split('+')[0], "");
            var date = assembly.GetCustomAttributes<AssemblyMetadataAttribute>().FirstOrDefault(a => a.Key == "CommitDate")?.Value;
            return (commit, date) switch
            {
                ("", _) => version,
                (_, null or "") => $"{version} (commit {commit})",
                _ => $"{version} (commit {commit} of {date})",
            };
        }
    }

    public override int Invoke(ParseResult parseResult)
    {
        parseResult.InvocationConfiguration.Output.WriteLine(Text);
        return Desk.Done;
    }
}
