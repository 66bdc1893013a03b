using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Rendering.Conversion;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Rendering.Alignment;

/// <summary>What the files look like: fields with the names of their components, spots with the names of the recorder's tracks.</summary>
internal sealed class AlignmentFormats(SessionDocument session, WavInput take, AlignmentSettings settings)
{
    private readonly FieldFormat format = settings.Field.Conversion.Format;

    public WavOutputFormat Field(int firstChannel, int order) =>
        new(session.SampleRate, SphericalHarmonics.ChannelCount(order), settings.Field.SampleFormat)
        {
            ChannelNames = FieldConversion.ChannelNames(format, order),
            ChannelFunctions = FieldConversion.ChannelFunctions(format, order),
            MetadataFrom = take.FileOf(firstChannel),
            TimeReferenceFrames = take.TimeReferenceFrames,
        };

    public WavOutputFormat Spot(SpotEntry spot) => new(session.SampleRate, spot.Channels.Count, settings.Field.SampleFormat)
    {
        ChannelNames = [.. spot.Channels.Select(c => take.ChannelNames[c - 1] ?? (spot.Channels.Count == 1 ? spot.Id : $"{spot.Id} {c}"))],
        MetadataFrom = take.FileOf(spot.Channels[0]),
        TimeReferenceFrames = take.TimeReferenceFrames,
    };
}
