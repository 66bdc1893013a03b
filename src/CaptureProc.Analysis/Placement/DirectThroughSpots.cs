using System.Numerics;
using MathNet.Numerics.LinearAlgebra;

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
/// what is left of W, and is taken off both. Microphones differ, in level and in phase, so every player has a factor for each third of an octave
/// (<see cref="LevelCell"/>). A player's own level is learnt only in the bins in which that player rules, where all
/// others together have a quarter of the power or less.
/// Error: SimulatedRehearsalTests. It leans on the slate: delays, directions and gains have to be measured.
/// </remarks>
public sealed class DirectThroughSpots
{
    private const double RulingShare = 0.8;

    // An omni takes in three times what a cardioid does, a cardioid turned by 45° from its player 1.4 times, a hypercardioid three quarters.
    private const double UsualFieldFactor = 1.8;

    private readonly IReadOnlyList<PlayerInput> players;
    private readonly IReadOnlyList<OctaveBand> bands;
    private readonly IReadOnlyList<LevelCell> cells;
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
        (players, bands, cells, this.frames) = (input.Players, input.Bands, LevelCell.Of(input.Bands), frames);
        binHz = input.SampleRateHz / frames.Size;
        levels = [.. players.Select(_ => new PlayerLevels(frames.BinCount, binHz))];
        (common, withPressure, pressure) = (new Complex[cells.Count, players.Count, players.Count], new Complex[cells.Count, players.Count], new double[cells.Count]);
        step = [.. players.Select(p => Complex.FromPolarCoordinates(1, -2 * Math.PI * (p.DelayFrames + fieldLatencyFrames) / frames.Size))];
        (aligned, power) = (new Complex[players.Count], new double[players.Count]);
    }

    /// <summary>Takes the frame that <see cref="StreamedFrames"/> holds.</summary>
    public void Hear()
    {
        var turn = new Complex[players.Count];
        for (var cell = 0; cell < cells.Count; cell++)
        {
            var (first, end) = cells[cell].Bins(binHz);
            for (var q = 0; q < turn.Length; q++)
                turn[q] = players[q].Gain * Complex.Pow(step[q], first);
            for (var k = first; k < end; k++)
            {
                for (var q = 0; q < turn.Length; q++)
                {
                    aligned[q] = turn[q] * At(4 + q, k);
                    turn[q] *= step[q];
                }
                HearBin(cell, k);
            }
        }
    }

    private void HearBin(int cell, int k)
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
        pressure[cell] += w.Real * w.Real + w.Imaginary * w.Imaginary;
        if (!(sum > 0))
            return;
        if (power[ruling] >= RulingShare * sum)
        {
            var u = players[ruling].Direction;
            levels[ruling].Add(k, aligned[ruling], w, u.X * At(3, k) + u.Y * At(1, k) + u.Z * At(2, k));
        }
        for (var q = 0; q < aligned.Length; q++)
        {
            var conjugate = Complex.Conjugate(aligned[q]);
            withPressure[cell, q] += conjugate * w;
            for (var p = 0; p < aligned.Length; p++)
                common[cell, q, p] += conjugate * aligned[p];
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
    /// <param name="velocity">How loud the array hears velocities.</param>
    /// <param name="fieldFactor">The share of the field at large in the spots over what their distances say.</param>
    internal BandPower[] Result(VelocityLevel velocity, double fieldFactor = 1)
    {
        var weighed = levels.Select(level => level.Weigh(cells, bands, velocity.Factors)).ToArray();
        var shares = players.Select(p => fieldFactor * p.FieldShare).ToArray();
        var result = new BandPower[bands.Count];
        for (var band = 0; band < bands.Count; band++)
        {
            int[] own = [.. Enumerable.Range(0, cells.Count).Where(c => cells[c].Band == band)];
            var hall = 0.0;
            // The hall in a spot is noise to the fit and makes its factor too small, by as much as it is louder there.
            for (var round = 0; round < 4; round++)
            {
                result[band] = Powers(own, [.. weighed.Select((w, q) => own.Select(c => w.Factors[c] * (1 + shares[q] * hall)).ToArray())], [.. weighed.Select(w => w.Covariance)], shares, velocity.Sigmas[band]);
                hall = Math.Min(10, result[band].Rest / Math.Max(result[band].Direct, 1e-300));
            }
        }
        return result;
    }

    /// <summary>How much hangs on how a spot is aimed and what its pattern is: half of what lies between the ends of what is usual.</summary>
    internal double FieldDoubtDb(VelocityLevel velocity)
    {
        var (least, most) = (Result(velocity, 1 / UsualFieldFactor), Result(velocity, UsualFieldFactor));
        return Math.Abs(RehearsalResult.RatioDb(least) - RehearsalResult.RatioDb(most) ?? 0) / 2;
    }

    // Factors by player, then cell of the band.
    private BandPower Powers(int[] own, Complex[][] factors, Matrix<double>[] covariances, double[] shares, double velocitySigma)
    {
        var (direct, cross, field, doubt) = (0.0, 0.0, 0.0, 0.0);
        for (var q = 0; q < players.Count; q++)
        {
            for (var c = 0; c < own.Length; c++)
            {
                var factor = factors[q][c];
                cross += (Complex.Conjugate(factor) * withPressure[own[c], q]).Real;
                for (var p = 0; p < players.Count; p++)
                    direct += (Complex.Conjugate(factor) * common[own[c], q, p] * factors[p][c]).Real;
                field += Square(factor) * shares[q] * pressure[own[c]];
                for (var d = 0; d < own.Length; d++)
                    doubt += Slope(q, c) * Slope(q, d) * covariances[q][own[c], own[d]];
            }
        }
        var rest = own.Sum(c => pressure[c]) - 2 * cross + direct;
        // Three quarters of the beam are velocity, and the power goes with the square.
        doubt += 1.5 * velocitySigma * direct * 1.5 * velocitySigma * direct;
        // Hall and neighbours that the spots hear are in both.
        return new BandPower(Math.Max(direct - field, 0), Math.Max(rest - field, 0), Math.Sqrt(Math.Max(0, doubt)));

        // By how much the direct sound grows with a player's factor.
        double Slope(int q, int c) => 2 * Math.Sqrt(Square(factors[q][c])) * common[own[c], q, q].Real;
    }

    private static double Square(Complex z) => z.Real * z.Real + z.Imaginary * z.Imaginary;

    private Complex At(int channel, int bin) => new(frames.Re[channel][bin], frames.Im[channel][bin]);
}

/// <summary>Powers in one band of W.</summary>
/// <param name="Direct">Of the direct sound.</param>
/// <param name="Rest">Of everything else.</param>
/// <param name="DirectSigma">Standard deviation of the first.</param>
public readonly record struct BandPower(double Direct, double Rest, double DirectSigma);
