namespace CaptureProc.Plugins.Arrays.Views;

/// <summary>A capsule as a window shows it.</summary>
internal readonly record struct CapsuleShown(string Label, double AzimuthDeg, double ElevationDeg);

/// <summary>Finds each capsule its corner of the plan: front left, front right, back left, back right.</summary>
internal static class CapsulePlaces
{
    /// <summary>Fills 0…3 for the capsules, each once: by where they look, or in their order where two would share a corner.</summary>
    public static void Find(ReadOnlySpan<CapsuleShown> capsules, Span<int> places)
    {
        var taken = 0;
        for (var i = 0; i < capsules.Length; i++)
        {
            var azimuth = Math.IEEERemainder(capsules[i].AzimuthDeg, 360);
            places[i] = (Math.Abs(azimuth) <= 90 ? 0 : 2) + (azimuth >= 0 ? 0 : 1);
            taken |= 1 << places[i];
        }
        if (taken == 15)
            return;
        for (var i = 0; i < places.Length; i++)
            places[i] = i;
    }
}
