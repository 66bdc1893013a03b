using CaptureProc.Dsp.Binaural;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Session;

namespace CaptureProc.Sofa.Tests;

public sealed class SofaFileTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("captureproc-").FullName;

    private string Path => System.IO.Path.Combine(folder, "set.sofa");

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void ResponsesStandInOrderOfMeasurementReceiverAndTime(bool singlePrecision)
    {
        var head = Read(new WrittenSofa { SinglePrecision = singlePrecision });
        Assert.Equal([0.25f, 0.125f, 0.25f, 0.375f], head.Taps(0, 0).ToArray());
        Assert.Equal([0.25f, 0.625f, 0.75f, 0.875f], head.Taps(0, 1).ToArray());
        Assert.Equal([0.25f, 1.625f, 1.75f, 1.875f], head.Taps(1, 1).ToArray());
        Assert.Equal(48000, head.SampleRateHz);
        Assert.Equal("as you like", head.Notice);
        Assert.Equal("set", head.Name);
    }

    [Fact]
    public void CartesianPositionsAreDirectionsToo()
    {
        var head = Read(new WrittenSofa { PositionType = "cartesian", Positions = new double[,] { { 0, 2, 0 }, { -1, 0, 1.7320508075688772 } } });
        Assert.Equal(0, Direction.AngleBetweenDeg(new Direction(90, 0), head.Directions[0]), 1e-6);
        Assert.Equal(0, Direction.AngleBetweenDeg(new Direction(180, 60), head.Directions[1]), 1e-6);
    }

    [Fact]
    public void OneRowOfDelaysServesAllMeasurements()
    {
        var head = Read(new WrittenSofa { Delays = new double[,] { { 3, 5.5 } } });
        Assert.Equal([3, 5.5, 3, 5.5], Delays(head));
    }

    [Fact]
    public void DelaysOfTheirOwnStayWithTheirMeasurements()
    {
        var head = Read(new WrittenSofa { Delays = new double[,] { { 3, 5.5 }, { 7, 1 } } });
        Assert.Equal([3, 5.5, 7, 1], Delays(head));
    }

    [Fact]
    public void OfSeveralDistancesTheFullestSphereIsTaken()
    {
        var head = Read(new WrittenSofa { Positions = new double[,] { { 0, 0, 0.2 }, { 10, 0, 1.5 }, { 20, 0, 0.2 }, { 30, 0, 1.5 }, { 40, 0, 1.52 } } });
        Assert.Equal([10, 30, 40], head.Directions.Select(d => Math.Round(d.AzimuthDeg)));
        Assert.Equal(1.125f, head.Taps(0, 0)[1]);
    }

    [Fact]
    public void UnusableFilesAreRefusedWithTheReason()
    {
        Refuses("not a SOFA file", new WrittenSofa { Conventions = "NetCDF" });
        Refuses("only SimpleFreeFieldHRIR", new WrittenSofa { Convention = "GeneralFIR" });
        Refuses("impulse responses (FIR) are needed", new WrittenSofa { DataType = "TF" });
        Refuses("for two ears", new WrittenSofa { Receivers = 4 });
        Refuses("different sampling rates", new WrittenSofa { SampleRates = [48000, 44100] });
        Refuses("which cannot be", new WrittenSofa { SampleRates = [48] });
        Refuses("no member SourcePosition", new WrittenSofa { LeaveOut = "SourcePosition" });
        Refuses("no member Data.Delay", new WrittenSofa { LeaveOut = "Data.Delay" });
        Refuses("coordinates of the type spherical harmonics", new WrittenSofa { PositionType = "spherical harmonics" });
        Refuses("neither one nor all", new WrittenSofa { Delays = new double[,] { { 0, 0 }, { 0, 0 }, { 0, 0 } } });
        Refuses("NaN or infinity", new WrittenSofa { FirstTap = double.NaN });
        Refuses("position that is no number", new WrittenSofa { Positions = new double[,] { { double.NaN, 0, 1 }, { 90, 0, 1 } } });
        Refuses("nothing but silence", new WrittenSofa { Positions = new double[,] { { 0, 0, 1 } }, Taps = 1, FirstTap = 0 });
    }

    [Fact]
    public void MissingFileIsNamed()
    {
        var refusal = Assert.Throws<UnusableInputException>(() => SofaFile.Read(Path));
        Assert.Contains(Path, refusal.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void FilesThatAreNoHdf5OrCutShortAreRefusedInOneLine()
    {
        var whole = File.ReadAllBytes(DefaultSet.Path);
        foreach (var length in new[] { 0, 7, 100, 5000, 300000, whole.Length - 1000 })
        {
            File.WriteAllBytes(Path, whole[..length]);
            var refusal = Assert.Throws<UnusableInputException>(() => SofaFile.Read(Path));
            Assert.DoesNotContain('\n', refusal.Message);
            Assert.Contains(Path, refusal.Message, StringComparison.Ordinal);
        }
        File.WriteAllText(Path, "this is a letter, not a measurement");
        Assert.Throws<UnusableInputException>(() => SofaFile.Read(Path));
    }

    private HeadResponses Read(WrittenSofa sofa)
    {
        sofa.Write(Path);
        return SofaFile.Read(Path);
    }

    private void Refuses(string said, WrittenSofa sofa)
    {
        sofa.Write(Path);
        var refusal = Assert.Throws<UnusableInputException>(() => SofaFile.Read(Path));
        Assert.Contains(said, refusal.Message, StringComparison.Ordinal);
        Assert.StartsWith(Path, refusal.Message, StringComparison.Ordinal);
    }

    private static double[] Delays(HeadResponses head) =>
        [head.DelaySamples(0, 0), head.DelaySamples(0, 1), head.DelaySamples(1, 0), head.DelaySamples(1, 1)];
}
