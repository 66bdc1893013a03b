using CaptureProc.Plugins.Tests.Native;
using CaptureProc.Session;
using CaptureProc.Vst3.Hosting;

namespace CaptureProc.Plugins.Tests.Live;

/// <summary>A session with more than one array: any of them plays, and a project remembers which.</summary>
public sealed class ArrayChoiceTests : IDisposable
{
    private const string Title = "Two arrays";

    private static readonly ArrayEntry Gallery = Tetrahedron.Main with
    {
        Id = "gallery", Channels = [5, 6, 7, 8], RadiusMm = 30, Mount = new MountEntry { RollDeg = 180 }, ActiveTrim = "high",
        TrimSets = [new TrimSet { Name = "high", Db = [1, 2, 3, 4] }],
    };

    private readonly LivePlugins plugins = new();

    public void Dispose() => plugins.Dispose();

    [Fact]
    public void AChosenArraySoundsAsASessionInWhichItIsTheOnlyOne()
    {
        plugins.Publish(Session(Tetrahedron.Main, Gallery));
        plugins.Publish(Session(Gallery with { Channels = [1, 2, 3, 4] }) with { Title = "One array" });
        using var chosen = Start(("Session", Title), ("Array", "gallery"));
        using var alone = Start(("Session", "One array"));
        using var main = Start(("Session", Title));
        var input = Playing.Noise(4, 4096, 1);
        var expected = Playing.Play(alone, input, 512);
        Assert.Equal(expected, Playing.Play(chosen, input, 512));
        Assert.NotEqual(expected, Playing.Play(main, input, 512));
        Assert.Equal("As asked", NativePlugins.Text(chosen, "Array status"));
    }

    [Fact]
    public void AProjectPlaysTheArrayThatItWasSavedWith()
    {
        var path = plugins.Publish(Session(Tetrahedron.Main, Gallery));
        using var before = Start(("Session", Title), ("Array", "gallery"));
        var input = Playing.Noise(4, 4096, 2);
        var expected = Playing.Play(before, input, 512);
        var state = before.GetState();
        // Meanwhile another array has come into the session, before the one that was chosen.
        SessionStore.Update(path, s => s with { Arrays = [Tetrahedron.Main, Tetrahedron.Main with { Id = "arcade", Channels = [9, 10, 11, 12] }, Gallery] });
        using var after = plugins.Create("Array");
        after.SetState(state);
        after.Start(LivePlugins.SampleRateHz, 512, Vst3.Abi.ProcessMode.Realtime);
        Assert.Equal("gallery", NativePlugins.Text(after, "Array"));
        Assert.Equal(expected, Playing.Play(after, input, 512));
    }

    [Fact]
    public void AnArrayThatHasGoneFromTheSessionIsSaidAndTheSoundStays()
    {
        var path = plugins.Publish(Session(Tetrahedron.Main, Gallery));
        using var effect = Start(("Session", Title), ("Array", "gallery"));
        var input = Playing.Noise(4, 4096, 3);
        Playing.Play(effect, input, 512);
        var expected = Playing.Play(effect, input, 512);
        SessionStore.Update(path, s => s with { Arrays = [Tetrahedron.Main] });
        for (var i = 0; i < 300 && NativePlugins.Text(effect, "Array status") == "As asked"; i++)
        {
            Thread.Sleep(50);
            effect.Process(512);
        }
        Assert.Equal("Refused: the session has no such array", NativePlugins.Text(effect, "Array status"));
        Playing.Play(effect, input, 512);
        Assert.Equal(expected, Playing.Play(effect, input, 512));
    }

    private HostedEffect Start(params (string Title, string Value)[] settings) => plugins.Start("Array", 512, settings);

    private static SessionDocument Session(params ArrayEntry[] arrays) => new() { Title = Title, SampleRate = 48000, Created = DateTimeOffset.UnixEpoch, Arrays = arrays };
}
