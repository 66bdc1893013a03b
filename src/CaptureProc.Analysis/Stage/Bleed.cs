namespace CaptureProc.Analysis.Stage;

/// <summary>What one microphone hears of one player.</summary>
/// <param name="Player">Spot index.</param>
/// <param name="Microphone">As in <see cref="StageInput"/>.</param>
/// <param name="LaterSeconds">Later than the player's own spot.</param>
/// <param name="LevelDb">Direct sound over that in the own spot, as recorded; null where only the places tell the time.</param>
public readonly record struct Bleed(int Player, int Microphone, double LaterSeconds, double? LevelDb)
{
    /// <summary>Every player with a clap at every microphone but his own spot, by the first of his claps that is known well.</summary>
    public static IReadOnlyList<Bleed> Of(StageInput input, IReadOnlyList<HeardClap> claps, StageResult stage)
    {
        var all = new List<Bleed>();
        for (var player = 0; player < input.SpotCount; player++)
        {
            var clap = Enumerable.Range(0, claps.Count).Where(c => claps[c].Owner == player && claps[c].Nearest == player)
                .OrderByDescending(c => stage.Times.Count(t => t.Clap == c && t.IsUsed)).FirstOrDefault(-1);
            if (clap < 0)
                continue;
            for (var microphone = 0; microphone < input.MicrophoneCount; microphone++)
                if (microphone != input.MicrophoneOf(player) && Of(input, claps, stage, clap, player, microphone) is { } bleed)
                    all.Add(bleed);
        }
        return all;
    }

    private static Bleed? Of(StageInput input, IReadOnlyList<HeardClap> claps, StageResult stage, int clap, int player, int microphone)
    {
        var own = input.Claps[clap].Times.First(t => t.Microphone == input.MicrophoneOf(player)).Seconds;
        var residual = stage.Times.FirstOrDefault(t => t.Clap == clap && t.Microphone == microphone);
        if (residual is { IsUsed: true })
            return new Bleed(player, microphone, input.Claps[clap].Times.First(t => t.Microphone == microphone).Seconds - own, DirectLevelDb(input, claps[clap], microphone));
        if (microphone > 0 && microphone < input.ArrayCount)
            return null;
        var place = microphone == 0 ? null : stage.Spots[microphone - input.ArrayCount];
        if (place is { IsKnown: false } || !stage.Spots[player].IsKnown)
            return null;
        var here = stage.Claps[clap].PositionM;
        var way = (here - (place?.PositionM ?? default)).Length - (here - stage.Spots[player].PositionM).Length;
        return new Bleed(player, microphone, way / stage.Speed.Mps, null);
    }

    private static double? DirectLevelDb(StageInput input, HeardClap clap, int microphone) =>
        microphone == 0 ? clap.ArrayLevelDb : microphone < input.ArrayCount ? null : clap.Levels[microphone - input.ArrayCount];
}
