using System.Text.Json;
using CaptureProc.DeskServer.Events;
using CaptureProc.DeskServer.Serving;

namespace CaptureProc.DeskServer.Jobs;

/// <summary>The commands that run and those that ran last.</summary>
/// <remarks>Thread: [any]. Two run at once, so that a clap can be measured while a mix is made; more wait.</remarks>
internal sealed class JobBoard(CommandRunner run, EventFeed feed)
{
    private const int AtOnce = 2;
    private const int Kept = 30;

    private readonly Lock gate = new();
    private readonly List<Job> jobs = [];
    private readonly SemaphoreSlim places = new(AtOnce);
    private int lastId;

    /// <summary>Jobs by age, the newest last.</summary>
    public IReadOnlyList<JobState> States
    {
        get
        {
            lock (gate)
                return [.. jobs.Select(j => j.State)];
        }
    }

    public JobState Start(CommandOrder order, string[] words)
    {
        Job job;
        lock (gate)
        {
            job = new Job(++lastId, order);
            jobs.Add(job);
            if (jobs.Count > Kept && jobs.Find(j => j.IsDone) is { } old)
                jobs.Remove(old);
        }
        Tell(job);
        new Thread(() => Work(job, words)) { IsBackground = true, Name = $"CaptureProc {order.Command}" }.Start();
        return job.State;
    }

    /// <summary>Whether there was such a job to stop.</summary>
    public bool Stop(int id)
    {
        lock (gate)
        {
            if (jobs.Find(j => j.Id == id) is not { } job)
                return false;
            job.Stop();
            return true;
        }
    }

    public void StopAll()
    {
        lock (gate)
            jobs.ForEach(j => j.Stop());
    }

    private void Work(Job job, string[] words)
    {
        places.Wait();
        try
        {
            job.Run(run, words, () => Tell(job));
        }
        finally
        {
            places.Release();
            Tell(job);
        }
    }

    private void Tell(Job job) => feed.Send(JsonSerializer.Serialize(new JobEvent("job", job.State), DeskJson.Compact.JobEvent));
}

/// <summary>A job in the feed.</summary>
internal sealed record JobEvent(string Type, JobState Job);
