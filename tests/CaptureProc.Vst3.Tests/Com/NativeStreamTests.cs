using System.Runtime.InteropServices;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Com;

namespace CaptureProc.Vst3.Tests.Com;

public sealed unsafe class NativeStreamTests
{
    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    [InlineData(4095)]
    [InlineData(4096)]
    [InlineData(10001)]
    public void AStreamThatGivesThreeBytesAtATimeIsReadWhole(int length)
    {
        var content = new byte[length];
        new Random(1).NextBytes(content);
        var stream = new MeanStream(content);
        Assert.Equal(content, NativeStream.ReadToEnd((IBStream*)stream.Pointer(), 1 << 20));
        stream.Release();
    }

    [Fact]
    public void ReadingEndsAtTheLimit()
    {
        var stream = new MeanStream(new byte[5000]);
        Assert.Equal(4500, NativeStream.ReadToEnd((IBStream*)stream.Pointer(), 4500).Length);
        stream.Release();
    }

    [Fact]
    public void WritingGoesOnUntilEverythingIsTaken()
    {
        var content = new byte[1000];
        new Random(2).NextBytes(content);
        var stream = new MeanStream([]);
        Assert.True(NativeStream.WriteAll((IBStream*)stream.Pointer(), content));
        Assert.Equal(content, stream.Written);
        stream.Release();
    }

    /// <summary>Takes and gives three bytes at most, and says "ok" to everything.</summary>
    private sealed class MeanStream : ComObject
    {
        private static readonly InterfaceMap Map = new();
        private static readonly int Slot = Map.Add(BuildTable(), IBStream.Iid);

        private readonly byte[] content;
        private int position;

        public MeanStream(byte[] content)
            : base(Map) => this.content = content;

        public List<byte> Written { get; } = [];

        private static IBStream.Vtbl* BuildTable()
        {
            var table = InterfaceMap.NewTable<IBStream.Vtbl>();
            table->Base = UnknownTable;
            table->Read = &Read;
            table->Write = &Write;
            return table;
        }

        [UnmanagedCallersOnly]
        private static int Read(void* self, void* buffer, int count, int* done)
        {
            var stream = From<MeanStream>(self);
            *done = Math.Min(Math.Min(3, count), stream.content.Length - stream.position);
            stream.content.AsSpan(stream.position, *done).CopyTo(new Span<byte>(buffer, count));
            stream.position += *done;
            return Result.Ok;
        }

        [UnmanagedCallersOnly]
        private static int Write(void* self, void* buffer, int count, int* done)
        {
            *done = Math.Min(3, count);
            From<MeanStream>(self).Written.AddRange(new ReadOnlySpan<byte>(buffer, *done));
            return Result.Ok;
        }
    }
}
