using CaptureProc.Session;
using CaptureProc.Vst3.Hosting;

namespace CaptureProc.Plugins.Tests.Native;

/// <summary>An array that cannot resolve the field is refused in words, and what played before plays on.</summary>
[Collection(NativePlugins.Collection)]
public sealed class ArrayStatusTests : IDisposable
{
    private const string Title = "Refusals";

    private static readonly ArrayEntry Usable = Tetrahedron.Main with
    {
        RadiusMm = 20, Pattern = 0.6,
    };

    private readonly NativePlugins plugins;
    private readonly string path;

    public ArrayStatusTests(NativePlugins plugins)
    {
        this.plugins = plugins;
        path = plugins.Publish(new SessionDocument { Title = Title, SampleRate = 48000, Created = DateTimeOffset.UnixEpoch, Arrays = [Usable] });
    }

    public static TheoryData<string, ArrayEntry> Refused => new()
    {
        { "Refused: pattern out of range", Usable with { Pattern = 1 } },
        { "Refused: two capsules look the same way", Usable with { Capsules = [Usable.Capsules[0], Usable.Capsules[0] with { Label = "twin" }, Usable.Capsules[2], Usable.Capsules[3]] } },
        {
            "Refused: directions too near one plane",
            Usable with { Capsules = [.. Enumerable.Range(0, 4).Select(i => new CapsuleEntry { Label = $"{i}", AzimuthDeg = 90 * i, ElevationDeg = 0 })] }
        },
    };

    public void Dispose() => plugins.Withdraw(Title);

    [Theory]
    [MemberData(nameof(Refused))]
    public void AnArrayThatCannotResolveTheFieldIsRefusedAndTheOneBeforePlaysOn(string status, ArrayEntry array)
    {
        using var effect = plugins.Start("CaptureProc Array", 256, ("Session", Title));
        effect.Process(256);
        Assert.Equal("As asked", Status(effect));
        var expected = Sound(effect);

        SessionStore.Update(path, s => s with { Arrays = [array] });
        LineUpHost.WaitFor(effect, () => Status(effect) == status);
        Assert.Equal("In step", NativePlugins.Text(effect, "Session status"));
        // Long enough for any change of filters to have come through.
        Playing.Play(effect, Playing.Noise(4, 4800, 95), 256);
        Assert.InRange(Playing.DifferenceDb(Sound(effect), expected), double.NegativeInfinity, -130);

        SessionStore.Update(path, s => s with { Arrays = [Usable] });
        LineUpHost.WaitFor(effect, () => Status(effect) == "As asked");
    }

    [Fact]
    public void AProjectThatOpensWithARefusedArrayPlaysTheOneSetByHandAndSaysSo()
    {
        SessionStore.Update(path, s => s with { Arrays = [Usable with { Pattern = 0 }] });
        using var effect = plugins.Start("CaptureProc Array", 256, ("Radius", "30"), ("Pattern", "0.4"), ("Session", Title));
        using var byHand = plugins.Start("CaptureProc Array", 256, ("Radius", "30"), ("Pattern", "0.4"), ("Array from", "By hand"));
        Assert.InRange(Playing.DifferenceDb(Sound(effect), Sound(byHand)), double.NegativeInfinity, -130);
        Assert.Equal(("Refused: pattern out of range", "As asked"), (Status(effect), Status(byHand)));
    }

    [Fact]
    public void ASessionWithoutAnArraySaysThatTheHandsValuesPlay()
    {
        SessionStore.Update(path, s => s with { Arrays = [] });
        using var effect = plugins.Start("CaptureProc Array Live", 256, ("Session", Title));
        effect.Process(256);
        Assert.Equal("The session has no array: set by hand", Status(effect));
    }

    private static string Status(HostedEffect effect) => NativePlugins.Text(effect, "Array status");

    private static float[][] Sound(HostedEffect effect)
    {
        effect.Stop();
        effect.Start(NativePlugins.SampleRateHz, 256, Vst3.Abi.ProcessMode.Realtime);
        return Playing.Play(effect, Playing.Noise(4, 3000, 94), 256);
    }
}
