using CaptureProc.Cli.Frame;
using CaptureProc.Session;
using CaptureProc.Vst3.Hosting;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Commands;

/// <summary>What a run has written.</summary>
internal sealed record PluginRunResult(string Path, int SampleRateHz, int Channels, long Frames, int LatencyFrames, long NonFiniteSamples);

/// <summary>Plays a file through a plug-in, block by block.</summary>
/// <remarks>
/// The output is as long as the input (and the tail that was asked for). The latency that the plug-in reports is taken out,
/// as every host does: its first frames are dropped, and silence is fed at the end to push the rest through.
/// </remarks>
internal sealed class PluginRun(HostedEffect effect, int blockFrames, double tailSeconds, bool keepLatency)
{
    public PluginRunResult Play(Desk desk, string inputPath, string outputPath, SampleFormat format, bool replace)
    {
        using var input = WavInput.Open(inputPath);
        desk.Tell(input);
        PendingFile.RequireOther(outputPath, inputPath);
        FitWidths(input, desk);
        effect.Start(input.SampleRateHz, blockFrames);
        var latency = effect.LatencyFrames;
        var skip = keepLatency ? 0 : latency;
        var frames = input.FrameCount + (long)Math.Round(tailSeconds * input.SampleRateHz) + (keepLatency ? latency : 0);

        using var output = WavOutput.Create(outputPath, new WavOutputFormat(input.SampleRateHz, effect.OutputChannels, format), replace);
        var nonFinite = 0L;
        using (var progress = desk.Progress(effect.Class.Name))
        {
            var read = NewBlock(input.ChannelCount);
            var written = NewBlock(effect.OutputChannels);
            for (var position = 0L; position < frames + skip; position += blockFrames)
            {
                var block = (int)Math.Min(blockFrames, frames + skip - position);
                Feed(input, read, block);
                effect.Process(block);
                nonFinite += Take(written, block);
                var first = (int)Math.Clamp(skip - position, 0, block);
                output.Write(written, first, block - first);
                progress.Report((double)position / (frames + skip));
            }
        }
        effect.Stop();
        output.Complete();
        if (nonFinite > 0)
            desk.Warn($"{nonFinite} samples of the output are no numbers (NaN or infinity); the plug-in does not cope with this input");
        if (output.ClippedSamples > 0)
            desk.Warn($"{output.ClippedSamples} samples are beyond full scale and have been held at it; write --bits 32f");
        return new PluginRunResult(output.Path, input.SampleRateHz, effect.OutputChannels, frames, latency, nonFinite);
    }

    // As wide as the file where the plug-in lets itself be set, otherwise at the width it has.
    private void FitWidths(WavInput input, Desk desk)
    {
        if (effect.InputChannels == 0)
            throw new UnusableInputException("no-input-bus", $"'{effect.Class.Name}' has no audio input: it is not an effect");
        if (effect.InputChannels != input.ChannelCount)
            effect.SetWidths(input.ChannelCount, input.ChannelCount);
        if (input.ChannelCount > effect.InputChannels)
            throw new UnusableInputException("too-wide",
                $"{input.Files[0].Path}: has {input.ChannelCount} channels, but '{effect.Class.Name}' takes {effect.InputChannels}; give a file with {effect.InputChannels}");
        if (input.ChannelCount < effect.InputChannels)
            desk.Warn($"the file has {input.ChannelCount} channels, '{effect.Class.Name}' takes {effect.InputChannels}; the others are fed silence");
    }

    private float[][] NewBlock(int channels)
    {
        var block = new float[channels][];
        for (var channel = 0; channel < channels; channel++)
            block[channel] = new float[blockFrames];
        return block;
    }

    private void Feed(WavInput input, float[][] read, int frames)
    {
        var there = input.Read(read, frames);
        for (var channel = 0; channel < read.Length; channel++)
        {
            var target = effect.Input<float>(channel);
            read[channel].AsSpan(0, there).CopyTo(target);
            target[there..].Clear();
        }
    }

    private long Take(float[][] written, int frames)
    {
        var nonFinite = 0L;
        for (var channel = 0; channel < written.Length; channel++)
        {
            effect.Output<float>(channel)[..frames].CopyTo(written[channel]);
            foreach (var sample in written[channel].AsSpan(0, frames))
                if (!float.IsFinite(sample))
                    nonFinite++;
        }
        return nonFinite;
    }
}
