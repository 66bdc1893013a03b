using System.Runtime.CompilerServices;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Convolution;

/// <summary>A matrix of FIR filters laid out for convolution in the time domain.</summary>
/// <remarks>
/// Thread: [main] to make; immutable and [any] afterwards, so one object serves any number of convolvers.
/// Shape:  as <see cref="DirectLayout"/> says. Outputs in groups, those missing in the last group being zero; for every group, input
///         and tap the group's taps side by side.
/// </remarks>
public sealed class DirectFilter : IPreparedFilter
{
    private readonly AlignedBuffer<float> taps;
    private readonly bool[] inverts, isNothing;

    /// <param name="filter">The filter.</param>
    /// <param name="isSparse">Whether most of the matrix is nothing; filters that take the place of one another agree on it.</param>
    public DirectFilter(MatrixFilter filter, bool isSparse = false)
    {
        ArgumentNullException.ThrowIfNull(filter);
        (Outputs, Inputs, TapCount, LatencyFrames) = (filter.Outputs, filter.Inputs, filter.TapCount, filter.LatencyFrames);
        inverts = new bool[Inputs];
        Layout = isSparse ? DirectLayout.Single : Outputs != 2 ? DirectLayout.Quads : IsMirror(filter) ? DirectLayout.Mirror : DirectLayout.Pair;
        OutputsPerGroup = Layout switch { DirectLayout.Quads => 4, DirectLayout.Pair => 2, _ => 1 };
        GroupCount = Layout == DirectLayout.Mirror ? 1 : (Outputs + OutputsPerGroup - 1) / OutputsPerGroup;
        taps = new AlignedBuffer<float>(GroupCount * Inputs * TapCount * OutputsPerGroup);
        isNothing = new bool[isSparse ? Outputs * Inputs : 0];
        for (var pair = 0; pair < isNothing.Length; pair++)
            isNothing[pair] = !filter.Taps(pair / Inputs, pair % Inputs).ContainsAnyExcept(0f);
        for (var output = 0; output < GroupCount * OutputsPerGroup && output < Outputs; output++)
            for (var input = 0; input < Inputs; input++)
            {
                var from = filter.Taps(output, input);
                var to = taps.Span[(GroupStart(output / OutputsPerGroup, input) + output % OutputsPerGroup)..];
                for (var tap = 0; tap < TapCount; tap++)
                    to[tap * OutputsPerGroup] = from[tap];
            }
    }

    public int Outputs { get; }

    public int Inputs { get; }

    public int TapCount { get; }

    public int LatencyFrames { get; }

    internal DirectLayout Layout { get; }

    internal int OutputsPerGroup { get; }

    internal int GroupCount { get; }

    /// <summary>Outputs that one pass over the inputs makes: a group, or both of a mirror.</summary>
    internal static int OutputsPerPass(DirectLayout layout) => layout switch { DirectLayout.Quads => 4, DirectLayout.Single => 1, _ => 2 };

    /// <summary>Whether an input does not reach a group at all, and that is known.</summary>
    internal bool IsNothing(int group, int input) => isNothing.Length > 0 && isNothing[group * Inputs + input];

    /// <summary>For a mirror: whether an input reaches the second output inverted.</summary>
    internal bool Inverts(int input) => inverts[input];

    internal ref float Group(int group, int input) => ref Unsafe.Add(ref taps.First, GroupStart(group, input));

    private int GroupStart(int group, int input) => (group * Inputs + input) * TapCount * OutputsPerGroup;

    // To the last bit: a head that is merely nearly symmetric keeps its two ears.
    private bool IsMirror(MatrixFilter filter)
    {
        for (var input = 0; input < Inputs; input++)
        {
            var first = filter.Taps(0, input);
            var second = filter.Taps(1, input);
            var (same, opposite) = (true, true);
            for (var tap = 0; tap < TapCount; tap++)
            {
                same &= first[tap] == second[tap];
                opposite &= first[tap] == -second[tap];
            }
            if (!same && !opposite)
                return false;
            inverts[input] = !same;
        }
        return true;
    }
}
