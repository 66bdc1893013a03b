using CaptureProc.Simulation.Signals;

namespace CaptureProc.Simulation.Faults;

/// <summary>Does to the channels what is wrong with cables, inputs and supplies, in the order of the list.</summary>
/// <remarks>Thread: one at a time. In place. A channel that does not exist is refused.</remarks>
internal static class FaultyRecorder
{
    public static void Apply(IReadOnlyList<ChannelFault> faults, double[][] channels, double sampleRateHz, SeededRandom chance)
    {
        for (var f = 0; f < faults.Count; f++)
        {
            var own = chance.Fork($"fault {f}");
            switch (faults[f])
            {
                case DeadChannel dead:
                    // −100 dB of what was there at its loudest: the input's own hiss.
                    var hiss = 1e-5 * Peak.Of(Channel(dead.Channel));
                    foreach (ref var sample in Channel(dead.Channel).AsSpan())
                        sample = hiss * QuickGaussian.Next(own);
                    break;
                case InvertedChannel inverted:
                    Gain.Apply(Channel(inverted.Channel), -1);
                    break;
                case SwappedChannels swapped:
                    (_, _) = (Channel(swapped.First), Channel(swapped.Second));
                    (channels[swapped.First - 1], channels[swapped.Second - 1]) = (channels[swapped.Second - 1], channels[swapped.First - 1]);
                    break;
                case ClippedChannel clipped:
                    var limit = Peak.Of(Channel(clipped.Channel)) * Gain.FromDb(-clipped.BelowPeakDb);
                    foreach (ref var sample in Channel(clipped.Channel).AsSpan())
                        sample = Math.Clamp(sample, -limit, limit);
                    break;
                case ChannelOffset offset:
                    var level = Peak.Of(Channel(offset.Channel)) * Gain.FromDb(-offset.BelowPeakDb);
                    foreach (ref var sample in Channel(offset.Channel).AsSpan())
                        sample += level;
                    break;
                case Dropout dropout:
                    var (start, end) = (Frame(dropout.TimeSeconds), Frame(dropout.TimeSeconds + dropout.Seconds));
                    Channel(dropout.Channel).AsSpan(start, end - start).Clear();
                    break;
                case CommonClick click:
                    AddClick(click, own);
                    break;
                default:
                    throw new ArgumentException($"No such fault: {faults[f].GetType().Name}.", nameof(faults));
            }
        }

        double[] Channel(int number) => number >= 1 && number <= channels.Length ? channels[number - 1]
            : throw new ArgumentOutOfRangeException(nameof(faults), number, $"A fault names channel {number}; the scene has 1 to {channels.Length}.");

        int Frame(double seconds) => Math.Clamp((int)Math.Round(seconds * sampleRateHz), 0, channels[0].Length);

        void AddClick(CommonClick click, SeededRandom own)
        {
            // A step that dies within half a millisecond, through the same coupling everywhere.
            var pulse = new double[(int)(0.002 * sampleRateHz)];
            for (var i = 0; i < pulse.Length; i++)
                pulse[i] = Math.Exp(-i / (0.0003 * sampleRateHz)) * Math.Cos(2 * Math.PI * 2500 * i / sampleRateHz);
            var start = Frame(click.TimeSeconds);
            foreach (var channel in channels)
            {
                var gain = Peak.Of(channel) * Gain.FromDb(-click.BelowPeakDb + own.Uniform(-3, 3));
                for (var i = 0; i < pulse.Length && start + i < channel.Length; i++)
                    channel[start + i] += gain * pulse[i];
            }
        }
    }
}
