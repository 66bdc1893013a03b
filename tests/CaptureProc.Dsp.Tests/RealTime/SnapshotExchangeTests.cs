using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Tests.RealTime;

public sealed class SnapshotExchangeTests
{
    private sealed record Numbered(int Number);

    [Fact]
    public void OnlyTheNewestIsTakenAndOnlyOnce()
    {
        var exchange = new SnapshotExchange<Numbered>();
        Assert.False(exchange.TryTake(out _));
        exchange.Publish(new Numbered(1));
        exchange.Publish(new Numbered(2));
        Assert.True(exchange.TryTake(out var taken));
        Assert.Equal(2, taken.Value.Number);
        Assert.False(exchange.TryTake(out _));
    }

    [Fact]
    public void OvertakenAndReturnedObjectsComeBackOnceEach()
    {
        var exchange = new SnapshotExchange<Numbered>();
        exchange.Publish(new Numbered(1));
        exchange.Publish(new Numbered(2));
        exchange.TryTake(out var taken);
        exchange.Return(taken!);
        var numbers = Collect(exchange);
        numbers.Sort();
        Assert.Equal([1, 2], numbers);
        Assert.False(exchange.TryCollect(out _));
    }

    // Two publishers, one audio thread, one collector at once: numbers grow for each publisher, nothing is lost, nothing comes twice.
    [Fact]
    public void NothingIsLostOrDoubledBetweenThreads()
    {
        const int Count = 100_000;
        var exchange = new SnapshotExchange<Numbered>();
        var collected = new List<int>(2 * Count);
        var published = 0;
        void Publish(int sign)
        {
            for (var number = 1; number <= Count; number++)
                exchange.Publish(new Numbered(sign * number));
            Interlocked.Increment(ref published);
        }

        var collector = new Thread(() =>
        {
            while (Volatile.Read(ref published) < 2)
                collected.AddRange(Collect(exchange));
        });
        Thread[] publishers = [new(() => Publish(1)), new(() => Publish(-1))];
        collector.Start();
        Array.ForEach(publishers, thread => thread.Start());

        var (lastPositive, lastNegative) = (0, 0);
        while (Volatile.Read(ref published) < 2)
        {
            if (!exchange.TryTake(out var snapshot))
                continue;
            var number = snapshot.Value.Number;
            Assert.True(number > 0 ? number > lastPositive : number < lastNegative, "A newer object was overtaken by an older one.");
            (lastPositive, lastNegative) = number > 0 ? (number, lastNegative) : (lastPositive, number);
            exchange.Return(snapshot);
        }

        Array.ForEach(publishers, thread => thread.Join());
        collector.Join();
        if (exchange.TryTake(out var last))
            exchange.Return(last);
        collected.AddRange(Collect(exchange));
        collected.Sort();
        Assert.Equal(2 * Count, collected.Count);
        for (var i = 0; i < Count; i++)
        {
            Assert.Equal(i - Count, collected[i]);
            Assert.Equal(i + 1, collected[Count + i]);
        }
    }

    [Fact]
    public void TakingAndReturningAllocateNothing()
    {
        var exchange = new SnapshotExchange<Numbered>();
        exchange.Publish(new Numbered(1));
        var before = GC.GetAllocatedBytesForCurrentThread();
        exchange.TryTake(out var taken);
        exchange.Return(taken!);
        exchange.TryTake(out _);
        Assert.Equal(0, GC.GetAllocatedBytesForCurrentThread() - before);
    }

    private static List<int> Collect(SnapshotExchange<Numbered> exchange)
    {
        var numbers = new List<int>();
        while (exchange.TryCollect(out var value))
            numbers.Add(value.Number);
        return numbers;
    }
}
