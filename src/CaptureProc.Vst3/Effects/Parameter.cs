using System.Globalization;
using CaptureProc.Vst3.Abi;

namespace CaptureProc.Vst3.Effects;

/// <summary>One parameter of an effect: what it is called, what it ranges over, and how it reads.</summary>
/// <remarks>
/// Thread: [any], immutable. Plain values are in the parameter's unit; normalized values run 0…1 and are what hosts store
/// and automate. Between the two a parameter is linear, or stepped when StepCount is above 0; a stepped parameter's plain
/// value counts its steps from 0.
/// Text is always in the invariant culture, because hosts save it.
/// </remarks>
public sealed record Parameter
{
    private Parameter(uint id, string title, string unit, double minimum, double maximum, double defaultPlain)
    {
        ArgumentOutOfRangeException.ThrowIfGreaterThan(id, 0x7FFF_FFFFu);
        if (!(minimum < maximum) || !(defaultPlain >= minimum && defaultPlain <= maximum))
            throw new ArgumentException($"'{title}' has the range {minimum}…{maximum} and the default {defaultPlain}.", nameof(defaultPlain));
        (Id, Title, Unit, Minimum, Maximum, DefaultPlain) = (id, title, unit, minimum, maximum, defaultPlain);
    }

    public uint Id { get; }

    public string Title { get; }

    public string Unit { get; }

    public double Minimum { get; }

    public double Maximum { get; }

    public double DefaultPlain { get; }

    public string ShortTitle { get; init; } = "";

    /// <summary>0 for a continuous parameter, otherwise the number of values less one.</summary>
    public int StepCount { get; private init; }

    public int Decimals { get; private init; }

    public ParameterFlags Flags { get; init; } = ParameterFlags.CanAutomate;

    /// <summary>The names of the steps; null when they are plain numbers or named by the effect as it runs.</summary>
    public IReadOnlyList<string>? Names { get; private init; }

    public bool IsReadOnly => (Flags & ParameterFlags.IsReadOnly) != 0;

    /// <summary>Something that is done once, by a hand: no lane automates it and no state holds it.</summary>
    public bool IsAct => (Flags & (ParameterFlags.CanAutomate | ParameterFlags.IsReadOnly)) == 0;

    public double DefaultNormalized => ToNormalized(DefaultPlain);

    /// <summary>A continuous number.</summary>
    public static Parameter Range(uint id, string title, string unit, double minimum, double maximum, double defaultPlain, int decimals) =>
        new(id, title, unit, minimum, maximum, defaultPlain) { Decimals = decimals };

    /// <summary>One of several names.</summary>
    public static Parameter List(uint id, string title, IReadOnlyList<string> names, int defaultIndex = 0) =>
        new(id, title, "", 0, names.Count - 1, defaultIndex)
        {
            StepCount = names.Count - 1, Names = names, Flags = ParameterFlags.CanAutomate | ParameterFlags.IsList,
        };

    /// <summary>One of a fixed number of entries that the effect names as it runs (<see cref="AudioEffect.TextOf"/>).</summary>
    public static Parameter NamedByEffect(uint id, string title, int count, int defaultIndex = 0) =>
        new(id, title, "", 0, count - 1, defaultIndex)
        {
            StepCount = count - 1, Flags = ParameterFlags.CanAutomate | ParameterFlags.IsList,
        };

    /// <summary>Off or on.</summary>
    public static Parameter Switch(uint id, string title, bool on = false) =>
        new(id, title, "", 0, 1, on ? 1 : 0) { StepCount = 1, Names = ["Off", "On"] };

    /// <summary>
    /// The same parameter as an act: the effect hears of it in OnEdited when a hand touches it, does it, and sets it back to rest.
    /// </summary>
    /// <remarks>
    /// Hosts show such parameters in their panel where a class has IEditControllerHostEditing, as all of these have, and bracket a touch
    /// by its two calls. Whatever comes without them (automation that is echoed, a state) is not heard.
    /// </remarks>
    public Parameter AsAct() => this with { Flags = Flags & ~ParameterFlags.CanAutomate };

    /// <summary>The switch that hosts know as the bypass; a class has at most one.</summary>
    public static Parameter Bypass(uint id) =>
        Switch(id, "Bypass") with { Flags = ParameterFlags.CanAutomate | ParameterFlags.IsBypass };

    /// <summary>A number that the effect shows and nobody sets; it rests at its minimum, or where it is told to.</summary>
    public static Parameter Meter(uint id, string title, string unit, double minimum, double maximum, int decimals, double? resting = null) =>
        new(id, title, unit, minimum, maximum, resting ?? minimum) { Decimals = decimals, Flags = ParameterFlags.IsReadOnly };

    public double ToPlain(double normalized)
    {
        var inside = Math.Clamp(normalized, 0, 1);
        return StepCount > 0
            ? Math.Min(StepCount, Math.Floor(inside * (StepCount + 1)))
            : Minimum + inside * (Maximum - Minimum);
    }

    public double ToNormalized(double plain)
    {
        var inside = Math.Clamp(plain, Minimum, Maximum);
        return StepCount > 0
            ? Math.Round(inside) / StepCount
            : (inside - Minimum) / (Maximum - Minimum);
    }

    /// <summary>The value as text, without its unit.</summary>
    public string Format(double plain)
    {
        if (Names != null)
            return Names[(int)Math.Clamp(Math.Round(plain), 0, StepCount)];
        var text = plain.ToString("F" + Decimals.ToString(CultureInfo.InvariantCulture), CultureInfo.InvariantCulture);
        // "-0.00" is how a tiny negative number rounds; nobody wants to read it.
        return double.Parse(text, CultureInfo.InvariantCulture) == 0 ? text.TrimStart('-') : text;
    }

    /// <summary>Reads a name or a number, with or without the unit.</summary>
    public bool TryParse(string text, out double plain)
    {
        text = text.Trim();
        if (Names != null)
            for (var i = 0; i < Names.Count; i++)
                if (string.Equals(Names[i], text, StringComparison.OrdinalIgnoreCase))
                {
                    plain = i;
                    return true;
                }
        if (Unit.Length > 0 && text.EndsWith(Unit, StringComparison.OrdinalIgnoreCase))
            text = text[..^Unit.Length].TrimEnd();
        return double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out plain) && double.IsFinite(plain);
    }
}
