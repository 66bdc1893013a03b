namespace CaptureProc.Screen.Controls;

/// <summary>A number or a choice that a control shows and the user moves.</summary>
/// <remarks>Thread: [main]. Now, Write and NamesVersion are asked at every frame and allocate nothing.</remarks>
public abstract class ControlValue
{
    public abstract string Name { get; }

    public abstract string Unit { get; }

    public abstract double Minimum { get; }

    public abstract double Maximum { get; }

    public abstract double Default { get; }

    /// <summary>0 for a continuous number, else the number of choices less one.</summary>
    public abstract int StepCount { get; }

    public abstract int Decimals { get; }

    public abstract double Now { get; }

    /// <summary>Grows when choices have other names.</summary>
    public virtual int NamesVersion => 0;

    /// <summary>What a choice is called; empty for one that is not on offer.</summary>
    public virtual string NameOf(int choice) => "";

    /// <summary>The user takes hold; everything up to <see cref="Release"/> is one move.</summary>
    public abstract void Hold();

    public abstract void Set(double value);

    public abstract void Release();

    /// <summary>Reads what was typed, with or without the unit.</summary>
    public abstract bool TryParse(string text, out double value);

    /// <summary>The host's own menu; false where it has none.</summary>
    public virtual bool ShowHostMenu(float x, float y) => false;

    /// <summary>One move at once.</summary>
    public void Change(double value)
    {
        Hold();
        Set(Math.Clamp(value, Minimum, Maximum));
        Release();
    }

    /// <summary>Writes a number as it is shown, without its unit.</summary>
    public int Write(double value, Span<char> text) => Numbers.Write(value, Decimals, text);

    /// <summary>How far a step of the wheel or an arrow key goes: a hundredth of the range, and a tenth of that when fine.</summary>
    public double StepOf(bool isFine)
    {
        if (StepCount > 0)
            return 1;
        var least = Math.Pow(10, -Decimals);
        var step = (Maximum - Minimum) / (isFine ? 1000 : 100);
        return Math.Max(least, Math.Round(step / least) * least);
    }
}
