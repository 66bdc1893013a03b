using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Wav;

namespace CaptureProc.Rendering.Delivery;

/// <summary>Reads a mix block by block as AmbiX at a gain, whatever its own order and scale.</summary>
/// <remarks>While a block is worked on the next one is read and decoded beside.</remarks>
internal sealed class FieldReader : IDisposable
{
    private readonly WavInput input;
    private readonly float[] gains;
    private readonly int[] positions;
    private float[][] block, next;
    private Task<int> reading;
    private long framesGiven;

    public FieldReader(string path, FieldFormat format, double gainDb, int blockFrames)
    {
        input = WavInput.Open(path);
        var channels = input.ChannelCount;
        (block, next) = (new float[channels][], new float[channels][]);
        (gains, positions) = (new float[channels], new int[channels]);
        var gain = Math.Pow(10, gainDb / 20);
        for (var acn = 0; acn < channels; acn++)
        {
            (block[acn], next[acn]) = (new float[blockFrames], new float[blockFrames]);
            positions[acn] = format == FieldFormat.FuMa ? FuMaTable.PositionOfAcn(acn) : acn;
            gains[acn] = (float)(format == FieldFormat.FuMa ? gain / FuMaTable.GainFromSN3D(acn) : gain);
        }
        BlockFrames = blockFrames;
        reading = ReadBeside();
    }

    public int BlockFrames { get; }

    public int SampleRateHz => input.SampleRateHz;

    public long FrameCount => input.FrameCount;

    public double Share => (double)framesGiven / input.FrameCount;

    public WavFile File => input.Files[0];

    /// <summary>ACN order, SN3D scale; overwritten by the next <see cref="Next"/>.</summary>
    public float[][] Block => block;

    /// <summary>Reads the next block; 0 at the end.</summary>
    public int Next()
    {
        var frames = reading.GetAwaiter().GetResult();
        (block, next) = (next, block);
        framesGiven += frames;
        reading = frames > 0 ? ReadBeside() : Task.FromResult(0);
        return frames;
    }

    public void Dispose()
    {
        // Whatever came of it: nobody asks for that block any more, and the file must not be closed under it.
        Task.WaitAny(reading);
        input.Dispose();
    }

    private Task<int> ReadBeside()
    {
        var into = next;
        return Task.Run(() =>
        {
            // The file's channel is read straight into the row of the harmonic that it carries.
            var rows = new float[into.Length][];
            for (var acn = 0; acn < into.Length; acn++)
                rows[positions[acn]] = into[acn];
            var frames = input.Read(rows, BlockFrames);
            for (var acn = 0; acn < into.Length; acn++)
                if (gains[acn] != 1)
                    Scale(into[acn].AsSpan(0, frames), gains[acn]);
            return frames;
        });
    }

    private static void Scale(Span<float> samples, float gain)
    {
        foreach (ref var sample in samples)
            sample *= gain;
    }
}
