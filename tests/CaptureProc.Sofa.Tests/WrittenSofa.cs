using PureHDF;

namespace CaptureProc.Sofa.Tests;

/// <summary>SOFA files of every make, written with the writer of the HDF5 library.</summary>
internal sealed record WrittenSofa
{
    public string Conventions { get; init; } = "SOFA";

    public string Convention { get; init; } = "SimpleFreeFieldHRIR";

    public string DataType { get; init; } = "FIR";

    public double[,] Positions { get; init; } = { { 0, 0, 1.4 }, { 90, 0, 1.4 } };

    public string PositionType { get; init; } = "spherical";

    public double[] SampleRates { get; init; } = [48000];

    public double[,] Delays { get; init; } = { { 0, 0 } };

    public int Receivers { get; init; } = 2;

    public int Taps { get; init; } = 4;

    public bool SinglePrecision { get; init; }

    public string? LeaveOut { get; init; }

    public double FirstTap { get; init; } = 0.25;

    public void Write(string path)
    {
        var file = new H5File { Attributes = new() { ["Conventions"] = Conventions, ["SOFAConventions"] = Convention, ["DataType"] = DataType, ["License"] = "as you like" } };
        var measurements = Positions.GetLength(0);
        var taps = new double[measurements, Receivers, Taps];
        for (var m = 0; m < measurements; m++)
            for (var r = 0; r < Receivers; r++)
                for (var n = 0; n < Taps; n++)
                    taps[m, r, n] = n == 0 ? FirstTap : m + 0.5 * r + 0.125 * n;
        Add(file, "Data.IR", SinglePrecision ? Single(taps) : taps);
        Add(file, "Data.SamplingRate", SampleRates);
        Add(file, "Data.Delay", Delays);
        Add(file, "SourcePosition", new H5Dataset(Positions) { Attributes = new() { ["Type"] = PositionType, ["Units"] = "degree, degree, metre" } });
        file.Write(path);
    }

    private static float[,,] Single(double[,,] values)
    {
        var single = new float[values.GetLength(0), values.GetLength(1), values.GetLength(2)];
        for (var m = 0; m < single.GetLength(0); m++)
            for (var r = 0; r < single.GetLength(1); r++)
                for (var n = 0; n < single.GetLength(2); n++)
                    single[m, r, n] = (float)values[m, r, n];
        return single;
    }

    private void Add(H5File file, string name, object value)
    {
        if (name != LeaveOut)
            file[name] = value;
    }
}
