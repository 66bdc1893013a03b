using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Rendering.Conversion;
using CaptureProc.Wav;
using CaptureProc.Wav.Adm;
using CaptureProc.Wav.Metadata;

namespace CaptureProc.Rendering.Delivery;

/// <summary>One WAV file of a delivery being written: AmbiX, FuMa or BW64 with ADM.</summary>
internal sealed class FieldFile : IDisposable
{
    private readonly WavOutput output;
    private readonly float[][] rows;
    private readonly float[] gains;
    private readonly float[]?[] scaled;

    private FieldFile(WavOutput output, FieldFormat format, int channels, int blockFrames)
    {
        this.output = output;
        rows = new float[channels][];
        gains = new float[channels];
        scaled = new float[channels][];
        for (var acn = 0; acn < channels; acn++)
        {
            gains[acn] = (float)(format == FieldFormat.FuMa ? FuMaTable.GainFromSN3D(acn) : 1);
            scaled[acn] = gains[acn] == 1 ? null : new float[blockFrames];
        }
        Format = format;
    }

    public FieldFormat Format { get; }

    public static FieldFile Create(DeliveryPlan plan, DeliveryContainer container, string path, FieldReader source, ProgrammeLoudness loudness)
    {
        var channels = source.Block.Length;
        var order = FieldOrder.Of(channels, plan.MixPath);
        var field = container == DeliveryContainer.FuMa ? FieldFormat.FuMa : FieldFormat.AmbiX;
        var bits = 8 * plan.SampleFormat.BytesPerSample();
        var format = new WavOutputFormat(source.SampleRateHz, channels, plan.SampleFormat)
        {
            ChannelNames = FieldConversion.ChannelNames(field, order),
            ChannelFunctions = FieldOrder.Functions(order, field),
            MetadataFrom = source.File,
            BroadcastExtension = BroadcastChunk(plan, field, order, source, loudness),
            IsBFormat = container == DeliveryContainer.FuMa,
            IsBw64 = container == DeliveryContainer.Bw64,
            Chunks = container == DeliveryContainer.Bw64 ? AdmChunks(plan.Title, order, source.SampleRateHz, bits, loudness) : [],
        };
        return new FieldFile(WavOutput.Create(path, format, plan.Replace), field, channels, source.BlockFrames);
    }

    public void Write(float[][] field, int frames)
    {
        for (var acn = 0; acn < field.Length; acn++)
        {
            var row = field[acn];
            if (scaled[acn] is { } own)
            {
                for (var i = 0; i < frames; i++)
                    own[i] = row[i] * gains[acn];
                row = own;
            }
            rows[Format == FieldFormat.FuMa ? FuMaTable.PositionOfAcn(acn) : acn] = row;
        }
        output.Write(rows, 0, frames);
    }

    /// <summary>Moves the finished files to their places, all of them or none.</summary>
    public static void CompleteAll(IEnumerable<FieldFile> files) => WavOutput.CompleteAll([.. files.Select(f => f.output)]);

    public void Dispose() => output.Dispose();

    private static byte[] BroadcastChunk(DeliveryPlan plan, FieldFormat field, int order, FieldReader source, ProgrammeLoudness loudness)
    {
        var figures = loudness.Rendering;
        var history = FormattableString.Invariant(
            $"A={(plan.SampleFormat.IsInteger() ? "PCM" : "FLOAT")},F={source.SampleRateHz},W={8 * plan.SampleFormat.BytesPerSample()},M=multitrack,T=sound field of order {order}, {(field == FieldFormat.FuMa ? "FuMa" : "ACN SN3D")}; loudness of {Plain(loudness.RenderingName)}");
        return BroadcastExtension.WithLoudness(source.File.BroadcastExtension ?? BroadcastExtension.Begin(plan.Title, DateTimeOffset.Now),
            [figures.IntegratedLufs, figures.RangeLu, figures.TruePeakDbtp, figures.MaxMomentaryLufs, figures.MaxShortTermLufs], history);
    }

    // Commas part the fields of a line of coding history, and the chunk is ASCII.
    private static string Plain(string text) => text.Replace(',', ';').Replace("°", " degrees", StringComparison.Ordinal);

    private static IReadOnlyList<WavChunk> AdmChunks(string title, int order, int sampleRateHz, int bits, ProgrammeLoudness loudness)
    {
        var figures = loudness.Rendering;
        var document = new AdmDocument(title, order, sampleRateHz, bits)
        {
            Loudness = new AdmLoudness(loudness.RenderingName, figures.IntegratedLufs, figures.RangeLu,
                figures.TruePeakDbtp, figures.MaxMomentaryLufs, figures.MaxShortTermLufs),
        };
        return [new WavChunk("chna", ChannelAllocation.ForField(order)), new WavChunk("axml", document.ToChunk())];
    }
}
