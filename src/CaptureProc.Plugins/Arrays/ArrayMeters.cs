using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Plugins.Automation;
using CaptureProc.Vst3.Effects;
using static CaptureProc.Plugins.Arrays.ArrayParameters;

namespace CaptureProc.Plugins.Arrays;

/// <summary>The meters of the array plug-in: levels of capsules and outputs, and front against back.</summary>
/// <remarks>Thread: Prepare [main], the rest [audio]. Allocates: in Prepare only.</remarks>
internal sealed class ArrayMeters
{
    private readonly LevelReading[] levels = [new(), new(), new(), new(), new(), new(), new(), new()];
    private FrontBackEnergy frontBack = new(48000);

    public void Prepare(double sampleRateHz)
    {
        frontBack = new FrontBackEnergy(sampleRateHz);
        foreach (var level in levels)
            level.Prepare(sampleRateHz);
    }

    public void Reset()
    {
        frontBack.Reset();
        foreach (var level in levels)
            level.Reset();
    }

    /// <summary>Takes a part of the block.</summary>
    public void Add(ArrayEngine engine, ReadOnlyPlanarSpan output)
    {
        for (var i = 0; i < 4; i++)
        {
            levels[i].Add(engine.Trimmed(i, output.Frames));
            levels[4 + i].Add(output[i]);
        }
        frontBack.Add(engine.Field(0, output.Frames), engine.Field(3, output.Frames));
    }

    /// <summary>Shows the meters at the end of a block.</summary>
    public void Show(MeterBank bank)
    {
        for (var i = 0; i < 4; i++)
        {
            bank.Set(CapsuleLevel + i, levels[i].Read());
            bank.Set(OutputLevel + i, levels[4 + i].Read());
        }
        bank.Set(FrontBack, frontBack.RatioDb);
    }
}
