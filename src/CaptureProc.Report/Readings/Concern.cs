namespace CaptureProc.Report.Readings;

/// <summary>How much a finding asks of the next engineer.</summary>
internal enum Weight
{
    /// <summary>Something has to be done before the result can be used.</summary>
    Act,

    /// <summary>Usable, with this in mind.</summary>
    Mind,
}

/// <summary>Something uncertain, and what to do about it; plain words, not HTML.</summary>
internal sealed record Concern(Weight Weight, string About, string What, string Do);
