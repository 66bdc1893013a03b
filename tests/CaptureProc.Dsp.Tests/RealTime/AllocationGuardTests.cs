using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Tests.RealTime;

/// <summary>The guard's switch and count are the process's; no other test uses them.</summary>
public sealed class AllocationGuardTests : IDisposable
{
    private object? kept;

    public AllocationGuardTests()
    {
        AllocationGuard.IsArmed = true;
        AllocationGuard.Clear();
    }

    public void Dispose() => AllocationGuard.IsArmed = false;

    [Fact]
    public void AllocationInsideTheGuardIsCounted()
    {
        using (AllocationGuard.Enter())
            kept = new byte[1000];
        // The array has 24 bytes of header and length, in whole words of 8.
        Assert.InRange(AllocationGuard.StrayBytes, 1000, 1024);
    }

    [Fact]
    public void CodeWithoutAllocationCountsNothing()
    {
        using (AllocationGuard.Enter())
            kept = string.Empty;
        Assert.Equal(0, AllocationGuard.StrayBytes);
    }

    [Fact]
    public void ToleratedStretchCountsNothingAndTheRestStillCounts()
    {
        using (AllocationGuard.Enter())
        {
            using (AllocationGuard.Tolerate())
                kept = new byte[5000];
            kept = new byte[100];
        }

        Assert.InRange(AllocationGuard.StrayBytes, 100, 128);
    }

    [Fact]
    public void DisarmedGuardCountsNothing()
    {
        AllocationGuard.IsArmed = false;
        using (AllocationGuard.Enter())
            kept = new byte[1000];
        Assert.Equal(0, AllocationGuard.StrayBytes);
        Assert.NotNull(kept);
    }
}
