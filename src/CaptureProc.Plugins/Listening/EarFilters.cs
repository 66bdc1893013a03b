using System.Runtime.CompilerServices;
using CaptureProc.Dsp.Binaural;
using CaptureProc.Dsp.Listening;
using CaptureProc.Plugins.Work;

namespace CaptureProc.Plugins.Listening;

/// <summary>The filters of a head for an order at a rate, ready to listen through; shared by all instances.</summary>
/// <remarks>A head kept in a project is another object than the published one, and gets filters of its own.</remarks>
internal static class EarFilters
{
    private static readonly SharedDesigns<(Same Head, int Order, double SampleRateHz), EarFilter> Shared = new();

    public static EarFilter Of(BinauralDecoder head, int order, double sampleRateHz) =>
        Shared.Get((new Same(head), order, sampleRateHz), key => new EarFilter(head.Filter(order, sampleRateHz), sampleRateHz));

    private readonly struct Same(BinauralDecoder head) : IEquatable<Same>
    {
        private readonly BinauralDecoder head = head;

        public bool Equals(Same other) => ReferenceEquals(head, other.head);

        public override bool Equals(object? obj) => obj is Same other && Equals(other);

        public override int GetHashCode() => RuntimeHelpers.GetHashCode(head);
    }
}
