namespace CaptureProc.Analysis.Placement;

/// <summary>How diffuse the field is, band by band: 0 for a plane wave, 1 for sound that comes evenly from all round.</summary>
/// <remarks>
/// Thread: one at a time. Memory: two frames of moments.
/// Definition: ψ = 1 − |⟨I⟩|/(c·⟨E⟩), I the intensity vector and E the energy density (Merimaa and Pulkki, Spatial Impulse
/// Response Rendering I, JAES 53(12), 2005; Pulkki, JAES 55(6), 2007; on SN3D signals I/(c·E) is Re W*·(X,Y,Z) over
/// (|W|² + |X|² + |Y|² + |Z|²)/2). The means ⟨⟩ run over a band and over two frames of 85 ms that follow one another: as short as a quick
/// note, so that one player after the other is heard and not their sum, and long enough for an octave to hold its partials.
/// |⟨I⟩| of a finite mean is never 0, not even in a perfectly diffuse field. So |⟨I⟩|² is taken as the product of the two frames'
/// vectors, whose chance parts are independent, summed over the recording with the products of their energies beside it: loud
/// moments count, and the chance averages out instead of adding up. Frames that are one apart overlap; those two apart do not.
/// </remarks>
public sealed class Diffuseness
{
    public const double FrameSeconds = 0.085;

    private readonly IReadOnlyList<OctaveBand> bands;
    private readonly double binHz;
    private readonly StreamedFrames frames;
    private readonly FieldMoments[][] past;
    private readonly double[] flow, energy;
    private int count;

    public Diffuseness(IReadOnlyList<OctaveBand> bands, double sampleRateHz)
    {
        this.bands = bands;
        // The power of two that comes nearest to the length, not the next above it.
        var size = StreamedFrames.SizeOf(FrameSeconds / Math.Sqrt(2), sampleRateHz);
        binHz = sampleRateHz / size;
        frames = new StreamedFrames(4, size, (int)(bands.Count == 0 ? 0 : bands[^1].HighHz / binHz) + 1, Hear);
        past = [new FieldMoments[bands.Count], new FieldMoments[bands.Count]];
        (flow, energy) = (new double[bands.Count], new double[bands.Count]);
    }

    public void Add(float[][] field, int frameCount) => frames.Add(field, frameCount);

    public void Finish() => frames.Finish();

    /// <summary>Of a band; null where nothing sounded.</summary>
    public double? Of(int band) => energy[band] > 0 ? 1 - Math.Sqrt(Math.Max(0, flow[band] / energy[band])) : null;

    private void Hear()
    {
        var before = past[count % 2];
        for (var band = 0; band < bands.Count; band++)
        {
            var now = new FieldMoments();
            var (first, end) = bands[band].Bins(binHz);
            for (var k = first; k < end; k++)
                now.AddBin(frames, k);
            if (count >= 2)
            {
                flow[band] += Dsp.Geometry.Vector3D.Dot(now.Intensity, before[band].Intensity);
                energy[band] += now.Energy * before[band].Energy;
            }
            before[band] = now;
        }
        count++;
    }
}
