using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Binaural;
using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Design;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Dsp.Listening;
using CaptureProc.Dsp.Tests.Contract;

namespace CaptureProc.Dsp.Tests.Listening;

/// <summary>The chain of live monitoring: conversion with the live correction, then listening.</summary>
public sealed class MonitoringLatencyTests
{
    [Theory]
    [InlineData(44100)]
    [InlineData(48000)]
    [InlineData(96000)]
    [InlineData(192000)]
    public void LiveChainStaysUnderThreeMilliseconds(double sampleRateHz)
    {
        var (encoder, listener) = Chain(sampleRateHz);
        Assert.InRange((encoder.LatencyFrames + listener.LatencyFrames) / sampleRateHz, 0, 0.003);
    }

    [Fact]
    public void SoundComesOutAsLateAsTheChainSays()
    {
        const double SampleRateHz = 48000;
        var (encoder, listener) = Chain(SampleRateHz);
        // A click of equal level at all four capsules, a tetrahedron's answer to a pressure at its centre.
        var (capsules, field, ears) = (Signals.Silence(4, 2048), Signals.Silence(4, 2048), Signals.Silence(2, 2048));
        foreach (var capsule in capsules)
            capsule[500] = 1;
        new DirectMatrixConvolver(new DirectFilter(encoder), 2048).Process(capsules, field);
        listener.Process(field, ears);
        // The centre of energy of what both ears hear of a pressure: head and chain, to within the 0.2 ms that the sound takes round half a head.
        double energy = 0, moment = 0;
        foreach (var ear in ears)
        {
            for (var n = 0; n < ear.Length; n++)
            {
                energy += ear[n] * ear[n];
                moment += n * (double)ear[n] * ear[n];
            }
        }
        var expected = 500 + encoder.LatencyFrames + listener.LatencyFrames;
        Assert.InRange(moment / energy - expected, -0.0002 * SampleRateHz, 0.0002 * SampleRateHz);
    }

    private static (MatrixFilter Encoder, FieldListener Listener) Chain(double sampleRateHz)
    {
        var array = new CapsuleArray([new(45, 35.264), new(-45, -35.264), new(135, -35.264), new(-135, 35.264)], 0.0147, 0.5, Rotation3D.Identity);
        return (EncoderDesign.Design(array, sampleRateHz, 343.2, Correction.Live),
            new FieldListener(DefaultHead.Decoder.Filter(1, sampleRateHz), sampleRateHz, 2048));
    }
}
