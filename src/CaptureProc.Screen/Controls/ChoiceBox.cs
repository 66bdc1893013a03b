using CaptureProc.Screen.Drawing;
using CaptureProc.Screen.Input;

namespace CaptureProc.Screen.Controls;

/// <summary>One of a list of names, opened as a menu.</summary>
public sealed class ChoiceBox(ControlValue value) : ValueControl(value)
{
    private string text = "";

    public string Caption { get; init; } = "";

    protected override void OnShownChanged() => text = Value.NameOf((int)Value.Now);

    public override PointerShape Pointer => PointerShape.Press;

    public override void Draw(Canvas canvas, Palette palette)
    {
        canvas.FillRound(Box, 5, IsHovered ? palette.Well.Towards(palette.Ink, 0.08f) : palette.Well);
        canvas.FrameRound(Box, 5, palette.LineWidth, IsHovered ? palette.Faint : palette.Edge);
        var inside = new Box(Box.X + 9, Box.Y, Box.Width - 30, Box.Height);
        if (Caption.Length > 0)
        {
            canvas.Text(Caption, inside.X, inside.CentreY, 12, palette.Soft);
            var used = canvas.WidthOf(Caption, 12) + 8;
            inside = inside with { X = inside.X + used, Width = inside.Width - used };
        }
        canvas.TextWithin(text, inside, 13, IsEnabled ? palette.Ink : palette.Faint, Caption.Length > 0 ? Align.Right : Align.Left);
        var (x, y) = (Box.Right - 13, Box.CentreY);
        canvas.Line(x - 3.5f, y - 2, x, y + 2, 1.6f, palette.Soft);
        canvas.Line(x, y + 2, x + 3.5f, y - 2, 1.6f, palette.Soft);
    }

    public override bool OnPress(MousePoint at)
    {
        Open();
        return false;
    }

    public override void OnDoubleClick(MousePoint at) => Open();

    public override bool OnWheel(MousePoint at, double steps)
    {
        Step(steps > 0 ? -1 : 1);
        return true;
    }

    public override bool OnKey(KeyPress key)
    {
        if (key.Key == Key.Enter || (key.Key == Key.Character && key.Character == ' '))
        {
            Open();
            return true;
        }
        if (key.Key is Key.Up or Key.Left or Key.Down or Key.Right)
        {
            Step(key.Key is Key.Up or Key.Left ? -1 : 1);
            return true;
        }
        return base.OnKey(key);
    }

    /// <summary>To the next choice that is on offer.</summary>
    private void Step(int direction)
    {
        for (var choice = (int)Value.Now + direction; choice >= 0 && choice <= Value.StepCount; choice += direction)
        {
            if (Value.NameOf(choice).Length == 0)
                continue;
            Value.Change(choice);
            return;
        }
    }

    private void Open()
    {
        var items = new List<MenuItem>();
        for (var choice = 0; choice <= Value.StepCount; choice++)
        {
            var wanted = choice;
            if (Value.NameOf(choice) is { Length: > 0 } name)
                items.Add(new MenuItem(name, () => Value.Change(wanted), choice == (int)Value.Now));
        }
        if (items.Count == 0)
            return;
        Scene?.TakeKeyboard();
        Scene?.Show(new Menu(items, Box.X, Box.Bottom + 3, Box.Width));
    }
}
