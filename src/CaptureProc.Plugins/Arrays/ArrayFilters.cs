using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Design;
using CaptureProc.Plugins.Work;

namespace CaptureProc.Plugins.Arrays;

/// <summary>The encoders of arrays, designed once for all instances that play the same array.</summary>
internal static class ArrayFilters
{
    private static readonly SharedDesigns<EncoderKey, EncoderFilter> Shared = new();

    /// <param name="array">One that can be resolved.</param>
    public static EncoderFilter Of(CapsuleArray array, double speedOfSoundMps, double sampleRateHz, Correction correction, int latencyFrames) =>
        Shared.Get(
            new EncoderKey(array, speedOfSoundMps, sampleRateHz, correction, latencyFrames),
            key => new EncoderFilter(
                EncoderDesign.Design(key.Array, key.SampleRateHz, key.SpeedOfSoundMps, key.Correction, key.LatencyFrames), 2 * key.LatencyFrames + 1,
                EncoderDesign.Design(key.Array, key.SampleRateHz, key.SpeedOfSoundMps, Correction.None)));

    /// <summary>Everything that an encoder depends on; the capsules by their directions, not by the list that holds them.</summary>
    private sealed class EncoderKey(CapsuleArray array, double speedOfSoundMps, double sampleRateHz, Correction correction, int latencyFrames)
        : IEquatable<EncoderKey>
    {
        public CapsuleArray Array => array;

        public double SpeedOfSoundMps => speedOfSoundMps;

        public double SampleRateHz => sampleRateHz;

        public Correction Correction => correction;

        public int LatencyFrames => latencyFrames;

        public bool Equals(EncoderKey? other) =>
            other is not null && Plain.Equals(other.Plain) && array.Capsules.SequenceEqual(other.Array.Capsules);

        public override bool Equals(object? obj) => Equals(obj as EncoderKey);

        public override int GetHashCode() => Plain.GetHashCode();

        private (double, double, Dsp.Geometry.Rotation3D, double, double, Correction, int) Plain =>
            (array.RadiusM, array.Pattern, array.Mount, speedOfSoundMps, sampleRateHz, correction, latencyFrames);
    }
}
