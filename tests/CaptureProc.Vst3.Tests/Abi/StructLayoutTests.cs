using CaptureProc.Vst3.Abi;

namespace CaptureProc.Vst3.Tests.Abi;

/// <remarks>
/// The numbers were printed by a C program (sizeof, then offsetof of each member in order) compiled with gcc 12.2 on
/// x86-64 Linux against vst3_c_api.h of the VST 3 SDK, version 3.8.1.
/// </remarks>
public sealed unsafe class StructLayoutTests
{
    [Fact]
    public void EveryStructHasTheSizeAndTheOffsetsOfTheHeader()
    {
        PFactoryInfo f;
        AssertLayout("452 0 64 320 448", &f, sizeof(PFactoryInfo), f.Vendor, f.Url, f.Email, &f.Flags);
        PClassInfo c;
        AssertLayout("116 0 16 20 52", &c, sizeof(PClassInfo), &c.Cid, &c.Cardinality, c.Category, c.Name);
        PClassInfo2 c2;
        AssertLayout(
            "440 0 16 20 52 116 120 248 312 376", &c2, sizeof(PClassInfo2),
            &c2.Cid, &c2.Cardinality, c2.Category, c2.Name, &c2.ClassFlags, c2.SubCategories, c2.Vendor, c2.Version, c2.SdkVersion);
        PClassInfoW w;
        AssertLayout(
            "696 0 16 20 52 180 184 312 440 568", &w, sizeof(PClassInfoW),
            &w.Cid, &w.Cardinality, w.Category, w.Name, &w.ClassFlags, w.SubCategories, w.Vendor, w.Version, w.SdkVersion);
        BusInfo b;
        AssertLayout("276 0 4 8 12 268 272", &b, sizeof(BusInfo), &b.MediaType, &b.Direction, &b.ChannelCount, b.Name, &b.BusType, &b.Flags);
        RoutingInfo r;
        AssertLayout("12 0 4 8", &r, sizeof(RoutingInfo), &r.MediaType, &r.BusIndex, &r.Channel);
        ParameterInfo p;
        AssertLayout(
            "792 0 4 260 516 772 776 784 788", &p, sizeof(ParameterInfo),
            &p.Id, p.Title, p.ShortTitle, p.Units, &p.StepCount, &p.DefaultNormalizedValue, &p.UnitId, &p.Flags);
        FrameRate rate;
        AssertLayout("8 0 4", &rate, sizeof(FrameRate), &rate.FramesPerSecond, &rate.Flags);
        Chord chord;
        AssertLayout("4 0 1 2", &chord, sizeof(Chord), &chord.KeyNote, &chord.RootNote, &chord.ChordMask);
        ProcessContext x;
        AssertLayout(
            "112 0 8 16 24 32 40 48 56 64 72 80 84 88 92 96 104", &x, sizeof(ProcessContext),
            &x.State, &x.SampleRate, &x.ProjectTimeSamples, &x.SystemTime, &x.ContinuousTimeSamples, &x.ProjectTimeMusic, &x.BarPositionMusic,
            &x.CycleStartMusic, &x.CycleEndMusic, &x.Tempo, &x.TimeSigNumerator, &x.TimeSigDenominator, &x.Chord, &x.SmpteOffsetSubframes,
            &x.FrameRate, &x.SamplesToNextClock);
        ProcessSetup s;
        AssertLayout("24 0 4 8 16", &s, sizeof(ProcessSetup), &s.Mode, &s.SampleSize, &s.MaxSamplesPerBlock, &s.SampleRate);
        AudioBusBuffers a;
        AssertLayout("24 0 8 16", &a, sizeof(AudioBusBuffers), &a.NumChannels, &a.SilenceFlags, &a.Channels);
        ProcessData d;
        AssertLayout(
            "80 0 4 8 12 16 24 32 40 48 56 64 72", &d, sizeof(ProcessData),
            &d.Mode, &d.SampleSize, &d.NumSamples, &d.NumInputs, &d.NumOutputs, &d.Inputs, &d.Outputs, &d.InputParameterChanges,
            &d.OutputParameterChanges, &d.InputEvents, &d.OutputEvents, &d.Context);
    }

    private static void AssertLayout(string printed, void* start, int size, params void*[] members)
    {
        var numbers = new List<long> { size };
        foreach (var member in members)
            numbers.Add((byte*)member - (byte*)start);
        Assert.Equal(printed, string.Join(' ', numbers));
    }
}
