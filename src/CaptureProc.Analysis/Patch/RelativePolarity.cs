namespace CaptureProc.Analysis.Patch;

/// <summary>Which channels are turned round against the others, from how alike every two of them are.</summary>
internal static class RelativePolarity
{
    /// <summary>The signs under which the pairs agree best; null where the next best are nearly as good.</summary>
    /// <param name="alike">−1 to 1 for every pair i &lt; j: what it would be, or its opposite where one of the two is inverted.</param>
    /// <param name="expected">Sign of a pair that is plugged in right.</param>
    /// <param name="clearMargin">How far the next best has to lie behind; turning one channel of four moves the sum by twice its three pairs.</param>
    public static int[]? Of(double[,] alike, int expected, double clearMargin)
    {
        var n = alike.GetLength(0);
        var scored = new List<(double Score, int[] Sign)>();
        for (var bits = 0; bits < 1 << (n - 1); bits++)
        {
            var sign = Enumerable.Range(0, n).Select(c => c > 0 && (bits >> (c - 1) & 1) != 0 ? -1 : 1).ToArray();
            var score = 0.0;
            for (var i = 0; i < n; i++)
                for (var j = i + 1; j < n; j++)
                    score += expected * sign[i] * sign[j] * alike[i, j];
            scored.Add((score, sign));
        }
        scored.Sort((a, b) => b.Score.CompareTo(a.Score));
        return scored[0].Score - scored[1].Score > clearMargin ? Majority(scored[0].Sign) : null;
    }

    /// <summary>The same relative polarities with the majority positive; of two and two, the first channel.</summary>
    public static int[] Majority(int[] sign) => sign.Sum() < 0 || (sign.Sum() == 0 && sign[0] < 0) ? [.. sign.Select(s => -s)] : sign;
}
