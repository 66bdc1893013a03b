namespace CaptureProc.Dsp.Convolution;

/// <summary>A matrix of filters seen behind a mixing of its inputs: where the mixing is the right one, one filter an output is left.</summary>
/// <remarks>
/// Thread: [main]. Allocates.
/// Four capsules on the corners of a regular tetrahedron are such a case: by its symmetry every harmonic is one sum of the
/// capsules, the same at all frequencies, through one filter. Sixteen filters are then four. A filter behind another mixing is the same filter, only
/// fuller: H = (H·M⁻¹)·M.
/// </remarks>
public static class MixedFilter
{
    /// <summary>−144 dB of the row: what rounding to floats leaves of a filter and of a mixing.</summary>
    private const double Nothing = 4e-15;

    /// <summary>The filters that, behind a mixing, do what a filter does by itself. What is nothing up to rounding is exactly nothing.</summary>
    /// <param name="filter">As many inputs as the mixing has.</param>
    /// <param name="mix">Square, output-major, with an inverse.</param>
    public static MatrixFilter Behind(MatrixFilter filter, ReadOnlySpan<float> mix)
    {
        ArgumentNullException.ThrowIfNull(filter);
        var size = filter.Inputs;
        if (mix.Length != size * size)
            throw new ArgumentException($"A mixing of {size} inputs has {size * size} gains, not {mix.Length}.", nameof(mix));
        var inverse = Inverse(mix, size);
        var behind = new MatrixFilter(filter.Outputs, size, filter.TapCount, filter.LatencyFrames);
        for (var output = 0; output < filter.Outputs; output++)
        {
            var energy = 0.0;
            for (var mixed = 0; mixed < size; mixed++)
            {
                var taps = behind.Taps(output, mixed);
                for (var tap = 0; tap < taps.Length; tap++)
                {
                    var sum = 0.0;
                    for (var input = 0; input < size; input++)
                        sum += filter.Taps(output, input)[tap] * inverse[input * size + mixed];
                    taps[tap] = (float)sum;
                    energy += sum * sum;
                }
            }
            for (var mixed = 0; mixed < size; mixed++)
                if (Energy(behind.Taps(output, mixed)) <= Nothing * energy)
                    behind.Taps(output, mixed).Clear();
        }
        return behind;
    }

    /// <summary>Whether every output is reached by the input of its own number alone.</summary>
    public static bool IsDiagonal(MatrixFilter filter)
    {
        ArgumentNullException.ThrowIfNull(filter);
        for (var output = 0; output < filter.Outputs; output++)
            for (var input = 0; input < filter.Inputs; input++)
                if (output != input && filter.Taps(output, input).ContainsAnyExcept(0f))
                    return false;
        return true;
    }

    private static double Energy(ReadOnlySpan<float> taps)
    {
        var energy = 0.0;
        foreach (var tap in taps)
            energy += (double)tap * tap;
        return energy;
    }

    // Gauss and Jordan, with the largest pivot.
    private static double[] Inverse(ReadOnlySpan<float> matrix, int size)
    {
        var (left, right) = (new double[size * size], new double[size * size]);
        for (var i = 0; i < left.Length; i++)
            (left[i], right[i]) = (matrix[i], i / size == i % size ? 1 : 0);
        for (var column = 0; column < size; column++)
        {
            var pivot = column;
            for (var row = column + 1; row < size; row++)
                if (Math.Abs(left[row * size + column]) > Math.Abs(left[pivot * size + column]))
                    pivot = row;
            if (Math.Abs(left[pivot * size + column]) < 1e-9)
                throw new ArgumentException("The mixing has no inverse.", nameof(matrix));
            for (var k = 0; k < size; k++)
            {
                (left[column * size + k], left[pivot * size + k]) = (left[pivot * size + k], left[column * size + k]);
                (right[column * size + k], right[pivot * size + k]) = (right[pivot * size + k], right[column * size + k]);
            }
            var scale = 1 / left[column * size + column];
            for (var k = 0; k < size; k++)
                (left[column * size + k], right[column * size + k]) = (scale * left[column * size + k], scale * right[column * size + k]);
            for (var row = 0; row < size; row++)
            {
                var factor = left[row * size + column];
                if (row == column || factor == 0)
                    continue;
                for (var k = 0; k < size; k++)
                {
                    left[row * size + k] -= factor * left[column * size + k];
                    right[row * size + k] -= factor * right[column * size + k];
                }
            }
        }
        return right;
    }
}
