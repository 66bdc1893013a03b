using System.Globalization;
using CaptureProc.Session;
using CaptureProc.Wav.Samples;

namespace CaptureProc.Wav;

/// <summary>One or several WAV files as one stream of planar float: they start together, and channels count on through the files.</summary>
/// <remarks>
/// Thread: one reader. Memory: two blocks, whatever the length. Shape: <see cref="Read"/> fills one run of samples a channel;
/// full scale is 1. Files of one rate only; a file that ends early goes on as silence, and <see cref="Warnings"/> says so.
/// Errors: <see cref="UnusableInputException"/>, also while reading, for samples that are no numbers.
/// </remarks>
public sealed class WavInput : IDisposable
{
    // 4096 frames of 8 channels are 128 KB: large enough for the disk, small enough for the cache of one core.
    private const int FramesPerBlock = 4096;

    private readonly WavFile[] files;
    private readonly string[] warnings;
    private byte[] bytes = [];
    private float[] interleaved = [];

    private WavInput(WavFile[] files)
    {
        this.files = files;
        SampleRateHz = files[0].SampleRateHz;
        ChannelCount = files.Sum(f => f.ChannelCount);
        FrameCount = files.Max(f => f.FrameCount);
        ChannelNames = [.. files.SelectMany(f => f.ChannelNames)];
        warnings = [.. FindWarnings(files)];
    }

    public int SampleRateHz { get; }

    public int ChannelCount { get; }

    /// <summary>Length of the longest file.</summary>
    public long FrameCount { get; }

    /// <summary>The frame that the next <see cref="Read"/> begins with.</summary>
    public long Position { get; private set; }

    /// <summary>Names from the recorder's iXML; null where a channel has none.</summary>
    public IReadOnlyList<string?> ChannelNames { get; }

    public IReadOnlyList<WavFile> Files => files;

    /// <summary>What a person should know about these files although they can be used: one line each.</summary>
    public IReadOnlyList<string> Warnings => warnings;

    public static WavInput Open(params IReadOnlyList<string> paths)
    {
        if (paths.Count == 0)
            throw new UnusableInputException("no-input", "no recording is given; name one or more WAV files");
        var opened = new List<WavFile>();
        try
        {
            foreach (var path in paths)
                opened.Add(WavFile.Open(path));
            if (opened.Find(f => f.SampleRateHz != opened[0].SampleRateHz) is { } other)
                throw new UnusableInputException("rates-differ",
                    $"{other.Path}: has {other.SampleRateHz} Hz, but {opened[0].Path} has {opened[0].SampleRateHz} Hz; give files of one rate");
            return new WavInput([.. opened]);
        }
        catch
        {
            opened.ForEach(f => f.Dispose());
            throw;
        }
    }

    /// <summary>Refuses a recording whose rate is not the session's.</summary>
    public void RequireSampleRate(int sampleRateHz)
    {
        if (SampleRateHz != sampleRateHz)
            throw new UnusableInputException("rate-differs",
                $"{files[0].Path}: has {SampleRateHz} Hz, but the session has {sampleRateHz} Hz; give a recording at the session's rate");
    }

    /// <summary>Refuses channels, counted from 1, that this recording does not have.</summary>
    /// <param name="channels">The channels that are needed.</param>
    /// <param name="owner">Whose channels they are, for the message: <c>array 'main'</c>.</param>
    public void RequireChannels(IReadOnlyList<int> channels, string owner)
    {
        foreach (var channel in channels)
            if (channel < 1 || channel > ChannelCount)
                throw new UnusableInputException("channel-missing",
                    $"{files[0].Path}: channel {channel} of {owner} is not there; the recording has {ChannelCount} ({files.Length} file{(files.Length == 1 ? "" : "s")}): give all files of the take, in order");
    }

    /// <summary>The file that holds a channel, counted from 1.</summary>
    public WavFile FileOf(int channel)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(channel, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(channel, ChannelCount);
        var i = 0;
        for (var left = channel; left > files[i].ChannelCount; i++)
            left -= files[i].ChannelCount;
        return files[i];
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
        foreach (var file in files)
        {
            ReadFile(file, planar.AsSpan(first, file.ChannelCount), first, frames);
            first += file.ChannelCount;
        }
        Position += frames;
        return frames;
    }

    public void Dispose()
    {
        foreach (var file in files)
            file.Dispose();
    }

    private void ReadFile(WavFile file, ReadOnlySpan<float[]?> planar, int firstChannel, int frames)
    {
        var isWanted = false;
        foreach (var channel in planar)
            isWanted |= channel is not null;
        if (!isWanted)
            return;
        var there = (int)Math.Clamp(file.FrameCount - Position, 0, frames);
        for (var done = 0; done < there;)
        {
            var block = Math.Min(there - done, FramesPerBlock);
            var (byteCount, sampleCount) = (block * file.BytesPerFrame, block * file.ChannelCount);
            if (bytes.Length < byteCount)
                bytes = new byte[byteCount];
            if (interleaved.Length < sampleCount)
                interleaved = new float[sampleCount];
            file.ReadFrames(Position + done, bytes.AsSpan(0, byteCount));
            SampleDecoder.Decode(file.SampleFormat, bytes.AsSpan(0, byteCount), interleaved.AsSpan(0, sampleCount));
            Spread(interleaved.AsSpan(0, sampleCount), planar, done, block);
            if (file.SampleFormat == SampleFormat.Float32)
                RequireNumbers(file, planar, firstChannel, done, block);
            done += block;
        }
        foreach (var channel in planar)
            channel?.AsSpan(there, frames - there).Clear();
    }

    private static void Spread(ReadOnlySpan<float> interleaved, ReadOnlySpan<float[]?> planar, int first, int frames)
    {
        if (FourChannels.IsSupported && planar is [{ } a, { } b, { } c, { } d])
        {
            FourChannels.Take(interleaved, a.AsSpan(first, frames), b.AsSpan(first, frames), c.AsSpan(first, frames), d.AsSpan(first, frames));
            return;
        }
        for (var channel = 0; channel < planar.Length; channel++)
            if (planar[channel] is { } row)
                Interleaving.Take(interleaved, planar.Length, channel, row.AsSpan(first, frames));
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

    private static IEnumerable<string> FindWarnings(WavFile[] files)
    {
        var longest = files.MaxBy(f => f.FrameCount)!;
        foreach (var file in files)
        {
            var missing = (double)(longest.FrameCount - file.FrameCount) / file.SampleRateHz;
            if (missing > 0)
                yield return string.Create(CultureInfo.InvariantCulture,
                    $"{file.Path}: is {missing:0.000} s shorter than {longest.Path}; silence is taken after its end");
            if (file.HasDamagedMetadata)
                yield return $"{file.Path}: its iXML cannot be read; track names are not used";
            if (file.TimeReferenceFrames is { } time && files[0].TimeReferenceFrames is { } start && time != start)
                yield return string.Create(CultureInfo.InvariantCulture,
                    $"{file.Path}: its time stamp is {(double)(time - start) / file.SampleRateHz:+0.000;-0.000;0.000} s from that of {files[0].Path}; files are taken to start together");
        }
    }
}
