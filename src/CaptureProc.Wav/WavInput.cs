using System.Globalization;
using System.Text;
using CaptureProc.Session;
using CaptureProc.Wav.Samples;
using CaptureProc.Wav.Take;

namespace CaptureProc.Wav;

/// <summary>One or several audio files as one stream of planar float: side by side, so that channels count on, or one after the other.</summary>
/// <remarks>
/// Thread: one reader. Memory: two blocks, whatever the length. Shape: <see cref="Read"/> fills one run of samples a channel;
/// full scale is 1. Files of one rate only. Files lie where their time stamps put them (<see cref="TakeFiles"/>); before and
/// after there is silence, and <see cref="Warnings"/> says so.
/// Errors: <see cref="UnusableInputException"/>, also while reading, for samples that are no numbers.
/// </remarks>
public sealed class WavInput : IDisposable
{
    // 4096 frames of 8 channels are 128 KB: large enough for the disk, small enough for the cache of one core.
    private const int FramesPerBlock = 4096;

    private readonly FileChain[] chains;
    private readonly List<string> warnings;
    private readonly List<string> faults;
    private byte[] bytes = [];
    private float[] interleaved = [];

    private WavInput(IReadOnlyList<WavFile> files, TakeArrangement arrangement)
    {
        Files = files;
        chains = [.. arrangement.Chains];
        SampleRateHz = files[0].SampleRateHz;
        ChannelCount = chains.Sum(c => c.ChannelCount);
        FrameCount = chains.Max(c => c.End);
        TimeReferenceFrames = arrangement.StampFrames;
        ChannelNames = [.. chains.SelectMany(c => c.First.ChannelNames)];
        warnings = [.. arrangement.Warnings, .. FindWarnings(files, chains)];
        faults = [.. files.SelectMany(f => f.Faults), .. arrangement.Faults];
    }

    public int SampleRateHz { get; }

    public int ChannelCount { get; }

    /// <summary>From the beginning of the first file to the end of the last one.</summary>
    public long FrameCount { get; }

    /// <summary>Frames since midnight at the first frame; null where no file is stamped, or stamps are left aside.</summary>
    public long? TimeReferenceFrames { get; }

    /// <summary>The frame that the next <see cref="Read"/> begins with.</summary>
    public long Position { get; private set; }

    /// <summary>Names from the recorder's iXML; null where a channel has none.</summary>
    public IReadOnlyList<string?> ChannelNames { get; }

    /// <summary>In the order in which they were given.</summary>
    public IReadOnlyList<WavFile> Files { get; }

    /// <summary>What a person should know about these files although they can be used: one line each.</summary>
    public IReadOnlyList<string> Warnings => warnings;

    /// <summary>What is wrong with these files although they can be read, and needs attention: one line each.</summary>
    public IReadOnlyList<string> Faults => faults;

    public static WavInput Open(params TakeFiles take)
    {
        ArgumentNullException.ThrowIfNull(take);
        var opened = new List<WavFile>();
        try
        {
            foreach (var path in take.Paths)
                opened.Add(WavFile.Open(path));
            if (opened.Find(f => f.SampleRateHz != opened[0].SampleRateHz) is { } other)
                throw new UnusableInputException("rates-differ",
                    $"{other.Path}: has {other.SampleRateHz} Hz, but {opened[0].Path} has {opened[0].SampleRateHz} Hz; give files of one rate");
            return new WavInput(opened, new TakeArrangement(take, opened));
        }
        catch
        {
            opened.ForEach(f => f.Dispose());
            throw;
        }
    }

    /// <summary>Refuses another rate than the session's, and names the channels that nobody in the session uses.</summary>
    /// <remarks>
    /// A whole file that nobody uses and that might have followed the one before it in time is a fault: it would be lost in silence.
    /// </remarks>
    public void RequireSession(SessionDocument session)
    {
        RequireSampleRate(session.SampleRate);
        var used = session.Arrays.SelectMany(a => a.Channels).Concat(session.Spots.SelectMany(s => s.Channels)).ToHashSet();
        List<int> idle = [.. Enumerable.Range(1, ChannelCount).Where(c => !used.Contains(c))];
        if (idle.Count == 0 || idle.Count == ChannelCount)
            return;
        warnings.Add($"{(idle.Count == 1 ? "channel" : "channels")} {Ranges(idle)} of the recording {(idle.Count == 1 ? "belongs" : "belong")} to no array and no spot of the session");
        var first = 1;
        for (var i = 0; i < chains.Length; first += chains[i++].ChannelCount)
            if (i > 0 && chains[i] is { IsStatedBeside: false, ChannelCount: > 1 } chain && Enumerable.Range(first, chain.ChannelCount).All(idle.Contains)
                && Succession.AreAlike(chains[i - 1].First, chain.First) && NameCounter.Between(Succession.Name(chains[i - 1].First), Succession.Name(chain.First)) is not null)
                faults.Add($"{chain.Path}: nobody in the session uses its channels {Ranges([.. Enumerable.Range(first, chain.ChannelCount)])}, taken to run beside {chains[i - 1].Path}; if it follows that in time, write {chains[i - 1].Path} {TakeFiles.Then} {chain.Path}");
    }

    /// <summary>Refuses a recording whose rate is not the session's.</summary>
    public void RequireSampleRate(int sampleRateHz)
    {
        if (SampleRateHz != sampleRateHz)
            throw new UnusableInputException("rate-differs",
                $"{Files[0].Path}: has {SampleRateHz} Hz, but the session has {sampleRateHz} Hz; give a recording at the session's rate");
    }

    /// <summary>Refuses channels, counted from 1, that this recording does not have.</summary>
    /// <param name="channels">The channels that are needed.</param>
    /// <param name="owner">Whose channels they are, for the message: <c>array 'main'</c>.</param>
    public void RequireChannels(IReadOnlyList<int> channels, string owner)
    {
        foreach (var channel in channels)
            if (channel < 1 || channel > ChannelCount)
                throw new UnusableInputException("channel-missing",
                    $"{Files[0].Path}: channel {channel} of {owner} is not there; the recording has {ChannelCount} ({Files.Count} file{(Files.Count == 1 ? "" : "s")}): give all files of the take, in order");
    }

    /// <summary>The file that holds a channel, counted from 1; of several in time the first.</summary>
    public WavFile FileOf(int channel)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(channel, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(channel, ChannelCount);
        var i = 0;
        for (var left = channel; left > chains[i].ChannelCount; i++)
            left -= chains[i].ChannelCount;
        return chains[i].First;
    }

    public void Seek(long frame)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(frame);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(frame, FrameCount);
        Position = frame;
    }

    /// <summary>Reads the next frames of all channels.</summary>
    /// <param name="planar">One array a channel; a null entry skips its channel.</param>
    /// <param name="frames">How many frames; each array holds at least that many.</param>
    /// <returns>How many frames were there: fewer at the end, 0 after it.</returns>
    public int Read(float[]?[] planar, int frames)
    {
        ArgumentNullException.ThrowIfNull(planar);
        if (planar.Length != ChannelCount)
            throw new ArgumentException($"{planar.Length} channels were given for a recording of {ChannelCount}.", nameof(planar));
        frames = (int)Math.Min(frames, FrameCount - Position);
        var first = 0;
        foreach (var chain in chains)
        {
            ReadChain(chain, planar.AsSpan(first, chain.ChannelCount), first, frames);
            first += chain.ChannelCount;
        }
        Position += frames;
        return frames;
    }

    public void Dispose()
    {
        foreach (var file in Files)
            file.Dispose();
    }

    private void ReadChain(FileChain chain, ReadOnlySpan<float[]?> planar, int firstChannel, int frames)
    {
        var isWanted = false;
        foreach (var channel in planar)
            isWanted |= channel is not null;
        if (!isWanted)
            return;
        var done = 0;
        for (var i = 0; i < chain.Files.Count; i++)
        {
            // Where the file begins and ends in the block that is asked for.
            var begin = chain.Start + chain.Starts[i] - Position;
            var (from, to) = (Math.Clamp(begin, done, frames), Math.Clamp(begin + chain.Files[i].FrameCount, done, frames));
            if (from >= to)
                continue;
            Silence(planar, done, (int)from);
            ReadFile(chain.Files[i], from - begin, planar, firstChannel, (int)from, (int)to);
            done = (int)to;
        }
        Silence(planar, done, frames);
    }

    private static void Silence(ReadOnlySpan<float[]?> planar, int from, int to)
    {
        foreach (var channel in planar)
            channel?.AsSpan(from, to - from).Clear();
    }

    private void ReadFile(WavFile file, long fileFrame, ReadOnlySpan<float[]?> planar, int firstChannel, int from, int to)
    {
        for (var done = from; done < to;)
        {
            var block = Math.Min(to - done, FramesPerBlock);
            var (byteCount, sampleCount) = (block * file.BytesPerFrame, block * file.ChannelCount);
            if (bytes.Length < byteCount)
                bytes = new byte[byteCount];
            if (interleaved.Length < sampleCount)
                interleaved = new float[sampleCount];
            file.ReadFrames(fileFrame + done - from, bytes.AsSpan(0, byteCount));
            SampleDecoder.Decode(file.SampleFormat, bytes.AsSpan(0, byteCount), interleaved.AsSpan(0, sampleCount));
            Spread(interleaved.AsSpan(0, sampleCount), planar, done, block);
            if (!file.SampleFormat.IsInteger())
                RequireNumbers(file, planar, firstChannel, done, block);
            done += block;
        }
    }

    private static void Spread(ReadOnlySpan<float> interleaved, ReadOnlySpan<float[]?> planar, int first, int frames)
    {
        if (FourChannels.IsSupported && planar is [{ } a, { } b, { } c, { } d])
        {
            FourChannels.Take(interleaved, a.AsSpan(first, frames), b.AsSpan(first, frames), c.AsSpan(first, frames), d.AsSpan(first, frames));
            return;
        }
        for (var channel = 0; channel < planar.Length;)
        {
            if (FourChannels.IsSupported && planar[channel..] is [{ } w, { } x, { } y, { } z, ..])
            {
                ChannelQuartets.Take(interleaved[channel..], planar.Length, w.AsSpan(first, frames), x.AsSpan(first, frames), y.AsSpan(first, frames), z.AsSpan(first, frames));
                channel += ChannelQuartets.Channels;
                continue;
            }
            if (planar[channel] is { } row)
                Interleaving.Take(interleaved, planar.Length, channel, row.AsSpan(first, frames));
            channel++;
        }
    }

    private void RequireNumbers(WavFile file, ReadOnlySpan<float[]?> planar, int firstChannel, int first, int frames)
    {
        for (var channel = 0; channel < planar.Length; channel++)
            if (planar[channel] is { } row && FiniteSamples.FirstUnusable(row.AsSpan(first, frames)) is var bad and >= 0)
                throw NoNumber(file, firstChannel + channel + 1, Position + first + bad);
    }

    private UnusableInputException NoNumber(WavFile file, int channel, long frame) => new("not-a-number",
        string.Create(CultureInfo.InvariantCulture,
            $"{file.Path}: channel {channel} holds a sample that is no number (NaN or infinity) at {(double)frame / SampleRateHz:0.000} s; export the take again"));

    private static IEnumerable<string> FindWarnings(IReadOnlyList<WavFile> files, FileChain[] chains)
    {
        var longest = chains.MaxBy(c => c.End)!;
        foreach (var chain in chains)
            if (longest.End - chain.End is var missing and > 0)
                yield return chain.Start == longest.Start
                    ? $"{chain.Path}: is {TimeStamps.Seconds(missing, chain.First.SampleRateHz)} shorter than {longest.Path}; silence is taken after its end"
                    : $"{chain.Path}: ends {TimeStamps.Seconds(missing, chain.First.SampleRateHz)} before {longest.Path}; silence is taken after its end";
        foreach (var file in files)
            if (file.Tracks.IsDamaged)
                yield return $"{file.Path}: its iXML cannot be read; track names are not used";
    }

    private static string Ranges(List<int> channels)
    {
        var text = new StringBuilder();
        for (var i = 0; i < channels.Count; i++)
        {
            var first = i;
            while (i + 1 < channels.Count && channels[i + 1] == channels[i] + 1)
                i++;
            text.Append(text.Length > 0 ? ", " : "").Append(CultureInfo.InvariantCulture, $"{channels[first]}").Append(i > first ? $"-{channels[i]}" : "");
        }
        return text.ToString();
    }
}
