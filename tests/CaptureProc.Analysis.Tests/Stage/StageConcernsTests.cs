using CaptureProc.Analysis.Stage;

namespace CaptureProc.Analysis.Tests.Stage;

/// <summary>What does not close is named; on drawn stages with one thing wrong.</summary>
public sealed class StageConcernsTests
{
    private static readonly IReadOnlyDictionary<string, StagePlace> Nothing = new Dictionary<string, StagePlace>();

    [Fact]
    public void AStageThatClosesRaisesNoConcern()
    {
        for (var seed = 1UL; seed <= 10; seed++)
            Assert.Empty(Concerns(new StageTrial(seed, new StageRanges { Spots = 7 }), t => t.Input, Nothing));
    }

    [Fact]
    public void AClapGivenToAWrongSpotIsNamedWithTheSpotItIsAt()
    {
        var named = 0;
        for (var seed = 100UL; seed < 120; seed++)
        {
            var trial = new StageTrial(seed, new StageRanges { Spots = 8 });
            // The spot farthest from where the clap was made: nobody would call that a near miss.
            var wrong = Enumerable.Range(0, 8).MaxBy(s => (trial.Spots[s] - trial.Claps[2]).Length);
            var lines = Concerns(trial, t => t.Input with { Claps = [.. t.Heard.Select((c, i) => i == 2 ? c with { Spot = wrong } : c)] }, Nothing);
            named += lines.Any(l => l.Contains($"counts for 'spot {wrong}'", StringComparison.Ordinal) && l.Contains("'spot 2'", StringComparison.Ordinal)) ? 1 : 0;
        }
        Assert.True(named >= 19, $"{named} of 20");
    }

    [Fact]
    public void ChannelsExchangedSinceAnEarlierSlateAreNamed()
    {
        var named = 0;
        for (var seed = 200UL; seed < 220; seed++)
        {
            var trial = new StageTrial(seed, new StageRanges { Spots = 8 });
            var before = StageSolver.Solve(trial.Input)!;
            var places = Enumerable.Range(0, 8).ToDictionary(s => $"spot {s}", s => before.Spots[s]);
            var lines = Concerns(trial, t => t.Input with { Claps = [.. t.Heard.Select(Exchange)] }, places);
            named += lines.Any(l => l.Contains("'spot 3' stands where 'spot 5' stood", StringComparison.Ordinal)) && lines.Any(l => l.Contains("'spot 5' stands where 'spot 3' stood", StringComparison.Ordinal)) ? 1 : 0;
        }
        Assert.True(named >= 19, $"{named} of 20");
    }

    [Fact]
    public void AMicrophoneThatHearsEverythingLateByTheSameIsToldFromReflections()
    {
        for (var seed = 300UL; seed < 306; seed++)
        {
            var trial = new StageTrial(seed, new StageRanges { Spots = 9 });
            var lines = Concerns(trial, t => t.Input with { Claps = [.. t.Heard.Select(c => c with { Times = [.. c.Times.Select(h => h.Microphone == 4 ? h with { Seconds = h.Seconds + 0.0045 } : h)] })] }, Nothing);
            Assert.Contains(lines, l => l.Contains("'spot 3'", StringComparison.Ordinal));
        }
    }

    private static StageClap Exchange(StageClap clap) => clap with
    {
        // Whoever hears a clap first counts as its owner, so the owners are exchanged with the channels.
        Spot = clap.Spot switch { 3 => 5, 5 => 3, var other => other },
        Times = [.. clap.Times.Select(t => t with { Microphone = t.Microphone switch { 4 => 6, 6 => 4, var other => other } })],
    };

    private static IReadOnlyList<string> Concerns(StageTrial trial, Func<StageTrial, StageInput> input, IReadOnlyDictionary<string, StagePlace> before)
    {
        var heard = input(trial);
        var stage = StageSolver.Solve(heard)!;
        HeardClap[] claps = [.. heard.Claps.Select((c, i) => new HeardClap(i, c.Spot ?? -1, c.Spot ?? -1, c, [], null))];
        return new StageConcerns(new StageNames(["main"], [.. Enumerable.Range(0, heard.SpotCount).Select(s => $"spot {s}")]), claps, stage).Say(before);
    }
}
