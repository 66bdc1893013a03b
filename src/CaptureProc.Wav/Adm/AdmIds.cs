using System.Globalization;

namespace CaptureProc.Wav.Adm;

/// <summary>The names that the common definitions give to sound fields: ACN order, SN3D scale, first to third order.</summary>
/// <remarks>
/// Everything about such a field is defined once and for all in the standard; a file only has to point there.
/// 0004 is the type "HOA"; a channel is numbered ACN + 1 in four lower-case hexadecimal digits.
/// Source: ITU-R BS.2094 as carried by the EBU ADM Renderer (2094_common_definitions.xml).
/// </remarks>
public static class AdmIds
{
    public const int MaxOrder = 3;

    public static string Pack(int order)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(order, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(order, MaxOrder);
        return $"AP_0004000{order}";
    }

    public static string PackName(int order) => $"3D_order{order}_SN3D_ACN";

    public static string Channel(int acn) => $"AC_0004{Number(acn)}";

    public static string Track(int acn) => $"AT_0004{Number(acn)}_01";

    /// <summary>The file's own name for one of its tracks; ATU_00000000 means silence, so tracks count from 1.</summary>
    public static string TrackUid(int trackIndex) => string.Create(CultureInfo.InvariantCulture, $"ATU_{trackIndex:x8}");

    private static string Number(int acn) => (acn + 1).ToString("x4", CultureInfo.InvariantCulture);
}
