using CaptureProc.Plugins.Watching;
using CaptureProc.Vst3.Effects;

namespace CaptureProc.Plugins.Views;

/// <summary>A level that the audio thread shows, with the peak that a window gathers.</summary>
internal static class LevelShown
{
    public static Func<(double LevelDb, double PeakDb, long Clips)> Of(EffectHost host, int level, PeakWatch watch, int channel) => () =>
    {
        var (peak, clips) = watch.Take(channel);
        return (host.Shown(level), peak, clips);
    };
}
