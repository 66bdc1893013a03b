namespace CaptureProc.Dsp.RealTime;

/// <summary>The words that say, in the documentation of a member, which thread may call it and when. A page, not code.</summary>
/// <remarks>
/// [main]   a thread that may allocate, wait and throw: a host's control thread, a command, a test. Constructors and designs.
/// [audio]  the thread that must be done before the block has been played. No allocation, no lock, no file, no exception
///          but for a caller's mistake in the shape of a block. One thread at a time for an object.
/// [any]    every thread at any time, because no state is shared or because it is handed over without a lock.
/// A state that is required is added behind the tag: "[audio], prepared".
/// Objects that [audio] uses while [main] replaces them are immutable and travel through <see cref="SnapshotExchange{T}"/>.
/// </remarks>
internal static class ThreadTags;
