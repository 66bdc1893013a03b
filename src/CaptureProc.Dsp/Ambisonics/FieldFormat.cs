namespace CaptureProc.Dsp.Ambisonics;

/// <summary>How the channels of a sound field are ordered and scaled.</summary>
public enum FieldFormat
{
    /// <summary>ACN order, SN3D scale.</summary>
    AmbiX,

    /// <summary>FuMa order W X Y Z R S T U V K L M N O P Q, MaxN scale with W at 1/√2.</summary>
    FuMa,
}

/// <summary>Channel order and gains between AmbiX and FuMa, to third order.</summary>
/// <remarks>
/// Thread: [any]. Allocates: never.
/// Source: gains, EBU ADM Renderer (hoa.py); the order of FuMa channels, common practice (from memory).
/// </remarks>
public static class FuMaTable
{
    private static ReadOnlySpan<byte> AcnAt => [0, 3, 1, 2, 6, 7, 5, 8, 4, 12, 13, 11, 14, 10, 15, 9];

    private static ReadOnlySpan<byte> PositionOf => [0, 2, 3, 1, 8, 6, 4, 5, 7, 15, 13, 11, 9, 10, 12, 14];

    /// <summary>The ACN channel that stands at a place in FuMa order.</summary>
    public static int AcnAtPosition(int position) => AcnAt[position];

    /// <summary>The place in FuMa order of an ACN channel.</summary>
    public static int PositionOfAcn(int acn) => PositionOf[acn];

    /// <summary>FuMa over SN3D for an ACN channel.</summary>
    public static double GainFromSN3D(int acn) => acn switch
    {
        0 => Math.Sqrt(0.5),
        4 or 5 or 7 or 8 => 2 / Math.Sqrt(3),
        9 or 15 => Math.Sqrt(8.0 / 5),
        10 or 14 => 3 / Math.Sqrt(5),
        11 or 13 => Math.Sqrt(45.0 / 32),
        _ => 1,
    };
}
