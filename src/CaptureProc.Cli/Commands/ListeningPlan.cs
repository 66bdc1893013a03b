using System.Globalization;
using System.Text.Json.Nodes;
using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Binaural;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Dsp.Listening;
using CaptureProc.Rendering.Listening;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Commands;

internal enum ListeningWay
{
    Binaural,
    Pair,
    Capsules,
}

/// <summary>What does it, in words, and for programs.</summary>
internal sealed record ListeningRun(ListeningRenderer Renderer, string Text, JsonObject About);

/// <summary>What 'listen' was asked for, and how it is carried out on a recording.</summary>
internal sealed record ListeningPlan
{
    private static readonly string[] FieldOptions = ["--yaw", "--pitch", "--roll", "--input-format"];
    private static readonly string[] PairOptions = ["--angle", "--pattern", "--aim"];
    private static readonly string[] CapsuleOptions = ["--array", "--capsules", "--trim"];

    public required SessionDocument Session { get; init; }

    public ListeningWay Way { get; init; }

    /// <summary>Measured responses or a decoder; null for the head that comes with the program.</summary>
    public string? HeadPath { get; init; }

    public Rotation3D ListenerTurn { get; init; } = Rotation3D.Identity;

    public required CoincidentPair Pair { get; init; }

    public string? ArrayId { get; init; }

    /// <summary>LEFT,RIGHT as labels or numbers; null for the two that look to the front.</summary>
    public string? Capsules { get; init; }

    public string? Trim { get; init; }

    public FieldFormat Format { get; init; }

    public double GainDb { get; init; }

    /// <summary>Of the options given, those that would change nothing: a person who set them expects something else.</summary>
    public IEnumerable<string> Idle(IEnumerable<string> given)
    {
        string[] idle = Way switch
        {
            ListeningWay.Binaural => [.. PairOptions, .. CapsuleOptions],
            ListeningWay.Pair => ["--hrtf", .. CapsuleOptions],
            _ => ["--hrtf", .. FieldOptions, .. PairOptions],
        };
        return given.Where(idle.Contains);
    }

    public ListeningRun Build(WavInput input) => Way switch
    {
        ListeningWay.Binaural => BuildBinaural(input),
        ListeningWay.Pair => BuildPair(input),
        _ => BuildCapsules(input),
    };

    private ListeningRun BuildBinaural(WavInput input)
    {
        var field = Field(input);
        var head = HeadPath is null ? DefaultHead.Decoder : HeadFile.Read(HeadPath);
        var filter = field.Through(head.Filter(field.Order, input.SampleRateHz));
        var text = $"binaural of order {field.Order}, head {head.Name}";
        var about = new JsonObject
        {
            ["as"] = "binaural",
            ["order"] = field.Order,
            ["head"] = new JsonObject { ["name"] = head.Name, ["notice"] = head.Notice, ["sampleRate"] = head.SampleRateHz },
        };
        return new ListeningRun(new ListeningRenderer([.. Enumerable.Range(0, field.ChannelCount)], filter, GainDb), text, about);
    }

    private ListeningRun BuildPair(WavInput input)
    {
        var field = Field(input);
        var text = string.Create(CultureInfo.InvariantCulture,
            $"coincident pair, {Pair.AngleDeg:0.##} degrees, pattern {Pair.Pattern:0.##}, aimed at {Pair.Aim.AzimuthDeg:0.##},{Pair.Aim.ElevationDeg:0.##}");
        var about = new JsonObject
        {
            ["as"] = "pair",
            ["order"] = field.Order,
            ["pair"] = new JsonObject
            {
                ["angleDeg"] = Pair.AngleDeg,
                ["pattern"] = Pair.Pattern,
                ["aim"] = new JsonObject { ["azimuthDeg"] = Pair.Aim.AzimuthDeg, ["elevationDeg"] = Pair.Aim.ElevationDeg },
            },
        };
        return new ListeningRun(new ListeningRenderer([.. Enumerable.Range(0, field.ChannelCount)], field.Through(Pair.ToFilter(field.ChannelCount)), GainDb), text, about);
    }

    private ListeningRun BuildCapsules(WavInput input)
    {
        var array = Session.FindArray(ArrayId);
        input.RequireChannels(array.Channels, $"array '{array.Id}'");
        var pair = Capsules is null ? CapsulePair.OfFront(array.ToCapsuleArray()) : Named(array, Capsules);
        var filter = pair.ToFilter(array.Channels.Count, [.. array.TrimDb(Trim)]);
        var (left, right) = (array.Capsules[pair.Left].Label, array.Capsules[pair.Right].Label);
        var text = $"capsules {left} and {right} of array '{array.Id}'";
        var about = new JsonObject
        {
            ["as"] = "capsules",
            ["array"] = array.Id,
            ["capsules"] = new JsonArray(left, right),
        };
        return new ListeningRun(new ListeningRenderer([.. array.Channels.Select(c => c - 1)], filter, GainDb), text, about);
    }

    private FieldListening Field(WavInput input)
    {
        var order = FieldListening.OrderOf(input.ChannelCount) ?? throw new UnusableInputException("not-a-field",
            $"{input.Files[0].Path}: has {input.ChannelCount} channel{(input.ChannelCount == 1 ? "" : "s")}, a sound field has 4, 9 or 16; give the output of 'convert' or 'mix'");
        return new FieldListening(order, Format, ListenerTurn);
    }

    private static CapsulePair Named(ArrayEntry array, string text)
    {
        var indexes = text.Split(',', StringSplitOptions.TrimEntries).Select(name => IndexOf(array, name)).ToArray();
        return indexes is [{ } left, { } right]
            ? new CapsulePair(left, right)
            : throw new UnusableInputException("bad-capsules",
                $"--capsules {text}: name two capsules of array '{array.Id}', as in {array.Capsules[0].Label},{array.Capsules[1].Label} (or 1,2); it has {string.Join(", ", array.Capsules.Select(c => c.Label))}");
    }

    private static int? IndexOf(ArrayEntry array, string name)
    {
        for (var i = 0; i < array.Capsules.Count; i++)
            if (string.Equals(array.Capsules[i].Label, name, StringComparison.OrdinalIgnoreCase) || name == (i + 1).ToString(CultureInfo.InvariantCulture))
                return i;
        return null;
    }
}
