namespace CaptureProc.Plugins.Automation;

/// <summary>How long a change of gains takes: none at the start, a step for a moving line, 20 ms for a switch.</summary>
/// <remarks>
/// Thread: [audio]. Allocates: never.
/// A line that moves while a switch is still gliding must not hurry it, so every glide lasts at least as long as the switch has left.
/// </remarks>
internal struct GlideClock(double sampleRateHz)
{
    private const double SwitchSeconds = 0.02;

    private readonly int switchFrames = (int)(SwitchSeconds * sampleRateHz);
    private int switchLeft;
    private bool running;

    /// <summary>The next change is taken at once: nothing sounds yet that it could tear.</summary>
    public void Restart() => (running, switchLeft) = (false, 0);

    /// <summary>Frames for a change at the beginning of a step.</summary>
    public int Begin(bool isSwitch, int stepFrames)
    {
        if (!running)
            return 0;
        if (isSwitch)
            switchLeft = switchFrames;
        return Math.Max(switchLeft, stepFrames);
    }

    public void Advance(int frames) => (running, switchLeft) = (true, Math.Max(0, switchLeft - frames));

    /// <summary>Whether the very first change is still to come.</summary>
    public readonly bool IsFresh => !running;
}
