using System.CommandLine;
using System.Text;

namespace CaptureProc.Cli.Frame;

/// <summary>What bash offers behind <c>captureproc</c>: the commands, then their options, the words that an option takes, or files.</summary>
/// <remarks>A script without the program in it: pressing a key must not wait for a program to start.</remarks>
internal static class ShellCompletion
{
    public static string ForBash(RootCommand root)
    {
        var script = new StringBuilder("""
            # Completion of captureproc for bash, made by 'captureproc manual'.
            _captureproc() {
                local current=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD - 1]} words=""
                if [ "$COMP_CWORD" -eq 1 ]; then

            """);
        script.Append($"        words=\"{string.Join(' ', CommandList.Groups.SelectMany(g => g.Commands).Select(c => c.Name))} --help --version\"\n    else\n");
        script.Append("        case \"${COMP_WORDS[1]} $before\" in\n");
        foreach (var command in root.Subcommands)
            foreach (var option in command.Options.Where(o => !o.Hidden && o.HelpName?.Contains('|', StringComparison.Ordinal) == true))
                script.Append($"            \"{command.Name} {option.Name}\") words=\"{option.HelpName!.Replace('|', ' ')}\" ;;\n");
        script.Append("        esac\n        if [ -z \"$words\" ] && [ \"${current#-}\" != \"$current\" ]; then\n            case ${COMP_WORDS[1]} in\n");
        foreach (var command in root.Subcommands)
            script.Append($"                {command.Name}) words=\"{string.Join(' ', HelpPage.OptionsOf(command, root).Select(o => o.Name))}\" ;;\n");
        return script.Append("""
                        esac
                    fi
                fi
                if [ -n "$words" ]; then
                    mapfile -t COMPREPLY < <(compgen -W "$words" -- "$current")
                else
                    mapfile -t COMPREPLY < <(compgen -f -- "$current")
                fi
            }
            complete -o filenames -F _captureproc captureproc

            """).ToString();
    }
}
