namespace CaptureProc.Session.Published;

/// <summary>A session that plug-ins are offered.</summary>
/// <param name="Name">What it is called there: unique in the folder, free of path characters.</param>
/// <param name="SessionPath">The session file itself, which commands go on changing.</param>
public sealed record PublishedSession(string Name, string SessionPath);
