using CaptureProc.Vst3.Hosting;

namespace CaptureProc.PluginLoad;

/// <summary>What else goes on in the process while the blocks are played.</summary>
internal enum Disturbance
{
    None,

    /// <summary>The session file changes every second and all instances follow; a panel asks for texts and states without pause.</summary>
    SessionAndStrings,
}

internal static class DisturbanceWords
{
    public static string Words(this Disturbance disturbance) => disturbance == Disturbance.None ? "nothing" : "reloads, texts, states";
}

/// <summary>A busy user interface and a busy session, on a thread of its own.</summary>
internal sealed class Disturber : IDisposable
{
    private readonly Thread thread;
    private volatile bool done;

    public Disturber(List<HostedEffect> effects, PublishedDemo session)
    {
        thread = new Thread(() =>
        {
            for (var round = 0; !done; round++)
            {
                if (round % 10 == 0)
                    session.Change();
                foreach (var effect in effects)
                    foreach (var parameter in effect.Parameters)
                        effect.TextOf(parameter.Id, effect.GetNormalized(parameter.Id));
                effects[round % effects.Count].GetState();
                Thread.Sleep(100);
            }
        });
        thread.Start();
    }

    public void Dispose()
    {
        done = true;
        thread.Join();
    }
}
