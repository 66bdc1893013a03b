namespace CaptureProc.Plugins.Work;

/// <summary>Something that wants to be looked at now and then, off the audio thread and off the host's.</summary>
public interface ISharedWork
{
    /// <summary>One look. Thread: the shared worker's; may allocate, design and (for the worker of files) read files; must not throw.</summary>
    void Look();

    /// <summary>A look has not come back for seconds and its thread has been given up. Thread: any but the audio thread; only marks.</summary>
    void GivenUp()
    {
    }
}
