using System.Runtime.InteropServices;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Com;

namespace CaptureProc.Vst3.Hosting;

/// <summary>A byte stream in memory, for the state of a plug-in.</summary>
/// <remarks>Thread: [main].</remarks>
public sealed unsafe class HostStream : ComObject
{
    private static readonly InterfaceMap Map = new();
    private static readonly int Slot = Map.Add(BuildTable(), IBStream.Iid);

    private readonly MemoryStream bytes = new();

    public HostStream(ReadOnlySpan<byte> content = default)
        : base(Map)
    {
        bytes.Write(content);
        bytes.Position = 0;
    }

    public IBStream* Stream => (IBStream*)Pointer();

    public byte[] ToArray() => bytes.ToArray();

    public void Rewind() => bytes.Position = 0;

    private static IBStream.Vtbl* BuildTable()
    {
        var table = InterfaceMap.NewTable<IBStream.Vtbl>();
        table->Base = UnknownTable;
        table->Read = &Read;
        table->Write = &Write;
        table->Seek = &Seek;
        table->Tell = &Tell;
        return table;
    }

    [UnmanagedCallersOnly]
    private static int Read(void* self, void* buffer, int count, int* done)
    {
        try
        {
            if (done != null)
                *done = 0;
            if (buffer == null || count < 0)
                return Result.InvalidArgument;
            var read = From<HostStream>(self).bytes.Read(new Span<byte>(buffer, count));
            if (done != null)
                *done = read;
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    [UnmanagedCallersOnly]
    private static int Write(void* self, void* buffer, int count, int* done)
    {
        try
        {
            if (done != null)
                *done = 0;
            if (buffer == null || count < 0)
                return Result.InvalidArgument;
            From<HostStream>(self).bytes.Write(new ReadOnlySpan<byte>(buffer, count));
            if (done != null)
                *done = count;
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    [UnmanagedCallersOnly]
    private static int Seek(void* self, long offset, int mode, long* result)
    {
        try
        {
            var stream = From<HostStream>(self).bytes;
            var target = offset + mode switch { 0 => 0, 1 => stream.Position, 2 => stream.Length, _ => long.MinValue };
            if (target < 0)
                return Result.InvalidArgument;
            stream.Position = target;
            if (result != null)
                *result = target;
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    [UnmanagedCallersOnly]
    private static int Tell(void* self, long* result)
    {
        try
        {
            if (result == null)
                return Result.InvalidArgument;
            *result = From<HostStream>(self).bytes.Position;
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }
}
