using System.Numerics;

namespace CaptureProc.Analysis.Placement;

/// <summary>Direct sound over all the rest in W, told apart by the spots: they say what every player's direct sound was.</summary>
/// <remarks>
/// Thread: one at a time. Memory: three numbers a bin and player. Shape: long frames, channels 0-3 the field, then the spots.
/// Delayed and levelled as the slate has it, a spot is the direct sound of its player as the array's W has it, with little of the
/// room (a spot at half a metre hears some 15 dB less of it). Subtracted from W it leaves the rest: reflections, reverberation, and
/// whatever else the hall is filled with. Frames are longer than the room rings, or else the tail of one frame would be
/// compared with the spot of the next.
/// A spot also hears the hall and its neighbours: the field at large as W has it, less what its pattern leaves out, and turned down
/// by as much as the spot is nearer to its player than the array. That share is the same in the sum of the direct sounds and in
/// what is left of W, and is taken off both. A player's own level is learnt only in the bins in which that player rules, where all
/// others together have a quarter of the power or less.
/// Error: SimulatedRehearsalTests. It leans on the slate: delays, directions and gains have to be measured.
/// </remarks>
public sealed class DirectThroughSpots
{
    private const double RulingShare = 0.8;

    private readonly IReadOnlyList<PlayerInput> players;
    private readonly IReadOnlyList<OctaveBand> bands;
    private readonly StreamedFrames frames;
    private readonly double binHz;
    private readonly PlayerLevels[] levels;
    private readonly Complex[,,] common;
    private readonly Complex[,] withPressure;
    private readonly double[] pressure;
    private readonly Complex[] step, aligned;
    private readonly double[] power;

    /// <param name="input">Players and bands.</param>
    /// <param name="frames">Where the spectra come from.</param>
    /// <param name="fieldLatencyFrames">By how much the field is late against the spots.</param>
    public DirectThroughSpots(PlacementInput input, StreamedFrames frames, int fieldLatencyFrames)
    {
        (players, bands, this.frames) = (input.Players, input.Bands, frames);
        binHz = input.SampleRateHz / frames.Size;
        levels = [.. players.Select(_ => new PlayerLevels(frames.BinCount, binHz))];
        (common, withPressure, pressure) = (new Complex[bands.Count, players.Count, players.Count], new Complex[bands.Count, players.Count], new double[bands.Count]);
        step = [.. players.Select(p => Complex.FromPolarCoordinates(1, -2 * Math.PI * (p.DelayFrames + fieldLatencyFrames) / frames.Size))];
        (aligned, power) = (new Complex[players.Count], new double[players.Count]);
    }

    /// <summary>Takes the frame that <see cref="StreamedFrames"/> holds.</summary>
    public void Hear()
    {
        var turn = new Complex[players.Count];
        for (var band = 0; band < bands.Count; band++)
        {
            var (first, end) = bands[band].Bins(binHz);
            for (var q = 0; q < turn.Length; q++)
                turn[q] = players[q].Gain * Complex.Pow(step[q], first);
            for (var k = first; k < end; k++)
            {
                for (var q = 0; q < turn.Length; q++)
                {
                    aligned[q] = turn[q] * At(4 + q, k);
                    turn[q] *= step[q];
                }
                HearBin(band, k);
            }
        }
    }

    private void HearBin(int band, int k)
    {
        var (sum, ruling) = (0.0, 0);
        for (var q = 0; q < aligned.Length; q++)
        {
            power[q] = aligned[q].Real * aligned[q].Real + aligned[q].Imaginary * aligned[q].Imaginary;
            sum += power[q];
            if (power[q] > power[ruling])
                ruling = q;
        }
        var w = At(0, k);
        pressure[band] += w.Real * w.Real + w.Imaginary * w.Imaginary;
        if (!(sum > 0))
            return;
        if (power[ruling] >= RulingShare * sum)
        {
            var u = players[ruling].Direction;
            levels[ruling].Add(k, aligned[ruling], 0.25 * (w + 3 * (u.X * At(3, k) + u.Y * At(1, k) + u.Z * At(2, k))));
        }
        for (var q = 0; q < aligned.Length; q++)
        {
            var conjugate = Complex.Conjugate(aligned[q]);
            withPressure[band, q] += conjugate * w;
            for (var p = 0; p < aligned.Length; p++)
                common[band, q, p] += conjugate * aligned[p];
        }
    }

    /// <summary>How many partials of equal power would be as good a sample of the room as the music was.</summary>
    public double PartialCount()
    {
        var (sum, squares) = (0.0, 0.0);
        foreach (var level in levels)
            foreach (var band in bands)
            {
                var notes = level.Notes(band);
                sum += notes.Sum;
                squares += notes.Squares;
            }
        return squares > 0 ? sum * sum / squares : 0;
    }

    /// <summary>What came of it, a band after the other.</summary>
    public BandPower[] Result()
    {
        var weighed = levels.Select(level => level.Weigh(bands)).ToArray();
        var result = new BandPower[bands.Count];
        for (var band = 0; band < bands.Count; band++)
        {
            var factors = weighed.Select(w => w.Factors[band]).ToArray();
            result[band] = Powers(band, factors, weighed.Select(w => w.Sigmas[band]).ToArray());
            // The hall in a spot is noise to the fit and makes its factor too small, by as much as it is louder there.
            for (var round = 0; round < 3; round++)
            {
                var hall = Math.Min(10, result[band].Rest / Math.Max(result[band].Direct, 1e-300));
                result[band] = Powers(band, [.. factors.Select((f, q) => f * (1 + players[q].FieldShare * hall))], weighed.Select(w => w.Sigmas[band]).ToArray());
            }
        }
        return result;
    }

    private BandPower Powers(int band, Complex[] factors, double[] sigmas)
    {
        var (direct, cross, doubt, field) = (0.0, 0.0, 0.0, 0.0);
        for (var q = 0; q < players.Count; q++)
        {
            cross += (Complex.Conjugate(factors[q]) * withPressure[band, q]).Real;
            for (var p = 0; p < players.Count; p++)
                direct += (Complex.Conjugate(factors[q]) * common[band, q, p] * factors[p]).Real;
            var power = factors[q].Real * factors[q].Real + factors[q].Imaginary * factors[q].Imaginary;
            field += power * players[q].FieldShare * pressure[band];
            var own = 2 * Math.Sqrt(power) * sigmas[q] * common[band, q, q].Real;
            doubt += own * own;
        }
        var rest = pressure[band] - 2 * cross + direct;
        // Hall and neighbours that the spots hear are in both.
        return new BandPower(Math.Max(direct - field, 0), Math.Max(rest - field, 0), Math.Sqrt(doubt));
    }

    private Complex At(int channel, int bin) => new(frames.Re[channel][bin], frames.Im[channel][bin]);
}

/// <summary>Powers in one band of W.</summary>
/// <param name="Direct">Of the direct sound.</param>
/// <param name="Rest">Of everything else.</param>
/// <param name="DirectSigma">Standard deviation of the first.</param>
public readonly record struct BandPower(double Direct, double Rest, double DirectSigma);
