namespace CaptureProc.Vst3.Abi;

/// <summary>The values of <c>tresult</c> that differ by platform.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1, result values: COM codes on Windows, small numbers elsewhere.</remarks>
public readonly record struct ResultCodes(
    int NoInterface, int InvalidArgument, int NotImplemented, int InternalError, int NotInitialized, int OutOfMemory)
{
    public static ResultCodes Com => new(
        unchecked((int)0x80004002), unchecked((int)0x80070057), unchecked((int)0x80004001),
        unchecked((int)0x80004005), unchecked((int)0x8000FFFF), unchecked((int)0x8007000E));

    public static ResultCodes Plain => new(-1, 2, 3, 4, 5, 6);
}

/// <summary>The <c>tresult</c> values of the platform that runs.</summary>
public static class Result
{
    public const int Ok = 0;

    public const int True = 0;

    public const int False = 1;

    public static int NoInterface => Here.NoInterface;

    public static int InvalidArgument => Here.InvalidArgument;

    public static int NotImplemented => Here.NotImplemented;

    public static int InternalError => Here.InternalError;

    public static int NotInitialized => Here.NotInitialized;

    public static int OutOfMemory => Here.OutOfMemory;

    private static ResultCodes Here => OperatingSystem.IsWindows() ? ResultCodes.Com : ResultCodes.Plain;
}
