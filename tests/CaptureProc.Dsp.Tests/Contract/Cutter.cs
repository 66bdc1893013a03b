namespace CaptureProc.Dsp.Tests.Contract;

/// <summary>Cuts a stream into blocks whose lengths go round a list.</summary>
internal sealed class Cutter(params int[] lengths)
{
    public IEnumerable<(int Start, int Frames)> Cut(int total)
    {
        for (var (start, turn) = (0, 0); start < total; turn++)
        {
            var frames = Math.Min(lengths[turn % lengths.Length], total - start);
            yield return (start, frames);
            start += frames;
        }
    }
}
