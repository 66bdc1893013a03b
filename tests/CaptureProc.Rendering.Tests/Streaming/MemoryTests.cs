using CaptureProc.Rendering.Conversion;
using CaptureProc.Wav;

namespace CaptureProc.Rendering.Tests.Streaming;

/// <summary>Counts what the whole process allocates, so nothing else may run beside it.</summary>
[CollectionDefinition(nameof(MemoryTests), DisableParallelization = true)]
[Collection(nameof(MemoryTests))]
public sealed class MemoryTests : IDisposable
{
    private readonly Takes takes = new();

    public void Dispose() => takes.Dispose();

    [Fact]
    public void TakeOfTenTimesTheLengthAllocatesHardlyMore()
    {
        // The first run also pays for everything that is made once.
        AllocatedBy(seconds: 1);
        var shortTake = AllocatedBy(seconds: 6);
        var longTake = AllocatedBy(seconds: 60);

        // Some hundred bytes a block go to handing it over; the audio itself, 46 MB of float in the long take, must not be there.
        Assert.True(longTake - shortTake < 2_000_000, $"{shortTake} bytes for 6 s, {longTake} for 60 s");
    }

    private long AllocatedBy(int seconds)
    {
        var path = takes.File($"{seconds}.wav");
        using (var output = WavOutput.Create(path, new WavOutputFormat(Takes.SampleRateHz, 4, SampleFormat.Pcm24), replace: true))
        {
            var second = Takes.Noise(4, Takes.SampleRateHz, seed: 1);
            for (var i = 0; i < seconds; i++)
                output.Write(second, 0, Takes.SampleRateHz);
            output.Complete();
        }
        var before = GC.GetTotalAllocatedBytes(precise: true);
        TakeConverter.Convert(Takes.Session(), [path], takes.File("out.wav"), new FieldSettings { Replace = true });
        return GC.GetTotalAllocatedBytes(precise: true) - before;
    }
}
