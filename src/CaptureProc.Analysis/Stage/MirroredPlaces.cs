using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Stage;

/// <summary>The other place that a spot may be at, and how probable that is.</summary>
internal readonly record struct MirroredPlace(Vector3D Way, double Probability)
{
    /// <summary>The place with the spread that not knowing which of two it is adds.</summary>
    public StagePlace Blur(StagePlace place)
    {
        var (x, y, z) = Way;
        var c = place.Covariance;
        var p = Probability;
        return p < 1e-4 ? place : place with
        {
            Covariance = [c[0] + p * x * x, c[1] + p * x * y, c[2] + p * x * z, c[3] + p * y * y, c[4] + p * y * z, c[5] + p * z * z],
        };
    }
}

/// <summary>Looks for the second of two heights at which a spot may be: what is above the level of the claps looks like what is below it.</summary>
internal static class MirroredPlaces
{
    /// <summary>Two places as near as this are one.</summary>
    private const double ApartM = 0.05;

    /// <summary>One a spot; leaves the fit as it was.</summary>
    public static IReadOnlyList<MirroredPlace> Of(StageFit fit)
    {
        var (state, cost, input) = (fit.State, fit.Cost, fit.Input);
        var places = new MirroredPlace[input.SpotCount];
        for (var spot = 0; spot < places.Length; spot++)
        {
            var microphone = input.MicrophoneOf(spot);
            fit.State = SecondThoughts.Mirrored(input, state, microphone);
            fit.Settle(12);
            var way = fit.State.Microphone(microphone) - state.Microphone(microphone);
            if (way.Length > ApartM)
                places[spot] = new MirroredPlace(way, 1 / (1 + Math.Exp(0.5 * (fit.Cost - cost))));
        }
        fit.State = state;
        fit.Settle();
        return places;
    }
}
