namespace CaptureProc.Analysis.Clicks;

/// <summary>A spot that is a capsule array of its own becomes one channel: the pressure at its acoustic centre.</summary>
/// <remarks>
/// Thread: as the model. First its W, as its own encoder makes it; with that, where the click comes from; then the beam that
/// points there, which has W's time without W's deviation at that one direction (up to 0.1 sample at 4 kHz) and without
/// the curvature of waves from so near.
/// </remarks>
public static class SpotArray
{
    public static ChannelExcerpt ToPressure(ArrayModel model, ChannelExcerpt[] capsules)
    {
        var excerpt = new ArrayExcerpt(model, [.. capsules.Select(c => c.Samples)]);
        int[] clipped = [.. capsules.SelectMany(c => c.Clipped).Distinct().Order()];
        var w = new ChannelExcerpt(excerpt.W, clipped);
        if (SpotOnset.Find(w.Samples, model.SampleRateHz) is not { } onset)
            return w;
        var click = SpotClick.Of(w, onset.Sample, model.SampleRateHz, model.ClickTransform);
        var guess = model.Search.Find(excerpt.Capsules, click, onset.Sample, 0);
        var (direction, distanceM) = new NearSourceFit(model.Manifold, model.SampleRateHz).Refine(excerpt.Capsules, onset.Sample, guess.Direction);
        return new ChannelExcerpt(model.ToBeam(excerpt.Spectra, direction, distanceM), clipped);
    }
}
