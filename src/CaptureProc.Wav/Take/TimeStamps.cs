using System.Globalization;

namespace CaptureProc.Wav.Take;

/// <summary>The time stamps of a take's files, as far as they can be used.</summary>
/// <remarks>
/// A stamp counts frames since midnight (EBU Tech 3285, TimeReference), so differences are taken over a day and a take may pass
/// midnight. A recorder without a clock writes 0 into every file: two zeros say nothing.
/// </remarks>
internal sealed class TimeStamps
{
    private const long SecondsPerDay = 86400;

    // Counted from some midnight; beyond a week the number is no time of day but damage.
    private const long LongestSeconds = 7 * SecondsPerDay;

    // Recorders that stamp by time code are off by the rounding of one frame of sound.
    private const long ToleranceFrames = 1;

    private readonly Dictionary<WavFile, long> frames = [];

    /// <param name="files">Of one rate.</param>
    /// <param name="isIgnored">Leaves all of them aside.</param>
    /// <param name="faults">Takes what is wrong with stamps that cannot be used.</param>
    public TimeStamps(IEnumerable<WavFile> files, bool isIgnored, List<string> faults)
    {
        foreach (var file in files)
        {
            if (isIgnored || file.TimeReferenceFrames is not { } stamp)
                continue;
            if (stamp < 0 || stamp / file.SampleRateHz > LongestSeconds)
                faults.Add($"{file.Path}: its time stamp is {stamp} frames, which is no time of day; it is not used");
            else if (file.Tracks.StampRateHz is { } rate && rate != file.SampleRateHz)
                faults.Add($"{file.Path}: its time stamp counts at {rate} Hz, but the file has {file.SampleRateHz} Hz; the stamp is not used: mend it, or say --ignore-stamps");
            else
                frames[file] = stamp;
        }
    }

    public long? Of(WavFile file) => frames.TryGetValue(file, out var stamp) ? stamp : null;

    /// <summary>Takes a stamp for none.</summary>
    public void Drop(WavFile file) => frames.Remove(file);

    /// <summary>Whether both are stamped, and not just with zeros.</summary>
    public bool AreTold(WavFile a, WavFile b) => Of(a) is { } x && Of(b) is { } y && (x != 0 || y != 0);

    /// <summary>From the beginning of the one to that of the other, over midnight where that is nearer.</summary>
    public long FromTo(WavFile a, WavFile b)
    {
        var day = SecondsPerDay * a.SampleRateHz;
        var apart = (frames[b] - frames[a]) % day;
        return apart > day / 2 ? apart - day : apart <= -day / 2 ? apart + day : apart;
    }

    /// <summary>From the end of the one to the beginning of the other; negative where they overlap.</summary>
    public long Gap(WavFile a, WavFile b)
    {
        var day = SecondsPerDay * a.SampleRateHz;
        var gap = FromTo(a, b) - a.FrameCount;
        return gap < -day / 2 ? gap + day : gap;
    }

    /// <summary>Whether the end of the one is the beginning of the other.</summary>
    public bool Continues(WavFile a, WavFile b) => Of(a) is not null && Of(b) is not null && Math.Abs(Gap(a, b)) <= ToleranceFrames;

    public static string Seconds(long frames, int rateHz) => string.Create(CultureInfo.InvariantCulture, $"{(double)frames / rateHz:0.000} s");
}
