using System.Runtime.InteropServices;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Effects;
using CaptureProc.Vst3.Views;

namespace CaptureProc.Vst3.Tests.Views;

/// <summary>An effect whose window is one colour, and writes down what happens to it.</summary>
internal sealed unsafe class PlainView(PlainViewEffect effect) : EffectView
{
    private readonly PixelRect[] all = new PixelRect[1];
    private PixelSurface surface;
    private uint drawnColour;

    public static int Alive { get; private set; }

    public uint Colour { get; set; } = 0x204060;

    public List<PointerInput> Pointer { get; } = [];

    public List<KeyInput> Keys { get; } = [];

    public List<double> Wheel { get; } = [];

    public int Frames { get; private set; }

    public int DrawCalls { get; private set; }

    public bool TakesKeys { get; set; } = true;

    public (int Width, int Height) SurfaceSize => (surface.Width, surface.Height);

    public override (int Width, int Height) NaturalSize => (400, 200);

    public override (double Smallest, double Largest) ScaleRange => (0.75, 2);

    public override double PreferredScale => effect.Scale;

    public override void UseSurface(PixelSurface next)
    {
        if (surface.Pixels == 0)
            Alive++;
        (surface, drawnColour) = (next, 0);
    }

    public override void LeaveSurface()
    {
        Alive--;
        surface = default;
    }

    public override ReadOnlySpan<PixelRect> Draw(long milliseconds)
    {
        DrawCalls++;
        if (drawnColour == Colour)
            return default;
        new Span<uint>((void*)surface.Pixels, surface.Width * surface.Height).Fill(Colour);
        drawnColour = Colour;
        Frames++;
        all[0] = new PixelRect(0, 0, surface.Width, surface.Height);
        return all;
    }

    public override void OnPointer(PointerInput input) => Pointer.Add(input);

    public override void OnWheel(int x, int y, double steps, ViewModifiers modifiers) => Wheel.Add(steps);

    public override bool OnKey(KeyInput input)
    {
        Keys.Add(input);
        return TakesKeys;
    }

    public override void OnFocus(bool hasKeyboard)
    {
    }

    public override void Dispose() => effect.ViewsDisposed++;
}

internal sealed class PlainViewEffect : AudioEffect
{
    public static EffectClass Class { get; } = new(
        new Tuid(0x7C1F5E0A, 0x3B4D4E6F, 0x9A2B6C8D, 0x1E0F2A9C), "Viewed", "Fx", "1.0.0",
        new BusLayout(SpeakerArrangement.Stereo, SpeakerArrangement.Stereo), new ParameterTable(Parameter.Range(1, "Gain", "dB", -24, 24, 0, 2)), "View",
        () => Last = new PlainViewEffect());

    public static PlainViewEffect Last { get; private set; } = null!;

    public double Scale { get; set; } = 1;

    public int ViewsDisposed { get; set; }

    public bool IsClosed { get; private set; }

    public List<int> Edited { get; } = [];

    public PlainView View { get; private set; } = null!;

    public override int LatencyFrames => 0;

    public override EffectView CreateView() => View = new PlainView(this);

    public override void OnEdited(int parameter) => Edited.Add(parameter);

    public override void Prepare(double sampleRateHz, int maxBlockFrames)
    {
    }

    public override void Reset()
    {
    }

    public override void Process(in AudioBlock block)
    {
    }

    public override void OnClosed() => IsClosed = true;
}
