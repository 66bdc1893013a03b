using CaptureProc.Cli.Frame;
using CaptureProc.Session;
using CaptureProc.Vst3.Hosting;

namespace CaptureProc.Cli.Commands;

/// <summary>Sets parameters of a plug-in by their titles, as people write them.</summary>
internal static class PluginParameters
{
    private static readonly TimeSpan NamePatience = TimeSpan.FromSeconds(2);

    /// <param name="effect">The plug-in.</param>
    /// <param name="assignment"><c>PARAMETER=VALUE</c>: a title in either case; the plug-in's own text, or a number in the parameter's unit.</param>
    public static void Set(HostedEffect effect, string assignment)
    {
        var at = assignment.IndexOf('=', StringComparison.Ordinal);
        if (at < 1)
            throw new UnusableInputException("bad-arguments", $"--set {assignment}: write PARAMETER=VALUE");
        var (title, value) = (assignment[..at].Trim(), assignment[(at + 1)..].Trim());
        var parameter = effect.Parameters.FirstOrDefault(p => string.Equals(p.Title, title, StringComparison.OrdinalIgnoreCase))
            ?? throw new UnusableInputException("no-such-parameter",
                $"--set {assignment}: '{effect.Class.Name}' has no parameter '{title}'; it has {string.Join(", ", effect.Parameters.Where(p => !p.IsReadOnly && !p.IsHidden).Select(p => p.Title))}");
        if (parameter.IsReadOnly)
            throw new UnusableInputException("read-only", $"--set {assignment}: '{parameter.Title}' can only be read");
        effect.SetNormalized(parameter.Id, Parse(effect, parameter, value, assignment));
    }

    private static double Parse(HostedEffect effect, HostedParameter parameter, string value, string assignment)
    {
        // First what the plug-in shows: some plug-ins answer a text that they do not know with just any number.
        for (var step = 0; step <= parameter.StepCount && parameter.StepCount > 0; step++)
        {
            var normalized = (double)step / parameter.StepCount;
            if (string.Equals(effect.TextOf(parameter.Id, normalized), value, StringComparison.OrdinalIgnoreCase))
                return normalized;
        }
        if (effect.TryParse(parameter.Id, value, out var parsed))
            return parsed;
        if (Values.TryParseNumber(value, out var number))
            return effect.ToNormalized(parameter.Id, number);
        // A name from a file that the plug-in has not read yet: no plug-in should keep its host waiting for a disk, so the host asks again.
        if (parameter.StepCount > 0 && effect.TryParse(parameter.Id, value, NamePatience, out parsed))
            return parsed;
        throw new UnusableInputException("bad-value", $"--set {assignment}: '{parameter.Title}' does not take '{value}'; see --list");
    }
}
