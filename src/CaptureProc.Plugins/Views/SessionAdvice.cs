using CaptureProc.Screen.Controls;

namespace CaptureProc.Plugins.Views;

/// <summary>How a session stands, in one line that says what to do about it; by the numbers of the status.</summary>
internal static class SessionAdvice
{
    private static readonly (string Text, Tone Tone)[] Lines =
    [
        ("No session: choose one that is published", Tone.Soft),
        ("In step with the session file", Tone.Good),
        ("File has changed: switch Follow on to take it", Tone.Doubt),
        ("File missing, kept values play: publish again", Tone.Doubt),
        ("File damaged, kept values play: restore it", Tone.Bad),
        ("File is newer: update this plug-in", Tone.Bad),
        ("Program fault, values stay: load it anew", Tone.Bad),
    ];

    public static string TextOf(double status) => Lines[(int)Math.Clamp(status, 0, Lines.Length - 1)].Text;

    public static Tone ToneOf(double status) => Lines[(int)Math.Clamp(status, 0, Lines.Length - 1)].Tone;
}
