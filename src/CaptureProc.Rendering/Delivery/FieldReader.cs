using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Wav;

namespace CaptureProc.Rendering.Delivery;

/// <summary>Reads a mix block by block as AmbiX at a gain, whatever its own order and scale.</summary>
internal sealed class FieldReader : IDisposable
{
    private readonly WavInput input;
    private readonly float[][] block;
    private readonly float[]?[] rows;
    private readonly float[] gains;

    public FieldReader(string path, FieldFormat format, double gainDb, int blockFrames)
    {
        input = WavInput.Open(path);
        var channels = input.ChannelCount;
        block = new float[channels][];
        rows = new float[channels][];
        gains = new float[channels];
        var gain = Math.Pow(10, gainDb / 20);
        for (var acn = 0; acn < channels; acn++)
        {
            block[acn] = new float[blockFrames];
            // The file's channel is read straight into the row of the harmonic that it carries.
            rows[format == FieldFormat.FuMa ? FuMaTable.PositionOfAcn(acn) : acn] = block[acn];
            gains[acn] = (float)(format == FieldFormat.FuMa ? gain / FuMaTable.GainFromSN3D(acn) : gain);
        }
        BlockFrames = blockFrames;
    }

    public int BlockFrames { get; }

    public int SampleRateHz => input.SampleRateHz;

    public long FrameCount => input.FrameCount;

    public double Share => (double)input.Position / input.FrameCount;

    public WavFile File => input.Files[0];

    /// <summary>ACN order, SN3D scale; overwritten by the next <see cref="Next"/>.</summary>
    public float[][] Block => block;

    /// <summary>Reads the next block; 0 at the end.</summary>
    public int Next()
    {
        var frames = input.Read(rows, BlockFrames);
        for (var acn = 0; acn < block.Length; acn++)
            if (gains[acn] != 1)
                Scale(block[acn].AsSpan(0, frames), gains[acn]);
        return frames;
    }

    public void Dispose() => input.Dispose();

    private static void Scale(Span<float> samples, float gain)
    {
        foreach (ref var sample in samples)
            sample *= gain;
    }
}
