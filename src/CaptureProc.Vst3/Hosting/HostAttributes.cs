using System.Runtime.InteropServices;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Com;

namespace CaptureProc.Vst3.Hosting;

/// <summary>Named values of a message.</summary>
/// <remarks>Thread: [main]. Each value is kept as its bytes in native memory, because binary values are handed out as pointers.</remarks>
internal sealed unsafe class HostAttributes : ComObject
{
    private static readonly InterfaceMap Map = new();
    private static readonly int Slot = Map.Add(BuildTable(), IAttributeList.Iid);

    private readonly Dictionary<(string Name, Kind Kind), (nint Bytes, int Length)> values = [];

    public HostAttributes()
        : base(Map)
    {
    }

    private enum Kind
    {
        Int,
        Float,
        Text,
        Binary,
    }

    protected override void OnReleased()
    {
        foreach (var value in values.Values)
            NativeMemory.Free((void*)value.Bytes);
    }

    private static IAttributeList.Vtbl* BuildTable()
    {
        var table = InterfaceMap.NewTable<IAttributeList.Vtbl>();
        table->Base = UnknownTable;
        table->SetInt = &SetInt;
        table->GetInt = &GetInt;
        table->SetFloat = &SetFloat;
        table->GetFloat = &GetFloat;
        table->SetString = &SetString;
        table->GetString = &GetString;
        table->SetBinary = &SetBinary;
        table->GetBinary = &GetBinary;
        return table;
    }

    [UnmanagedCallersOnly]
    private static int SetInt(void* self, byte* id, long value) => Set(self, id, Kind.Int, &value, sizeof(long));

    [UnmanagedCallersOnly]
    private static int GetInt(void* self, byte* id, long* value) => Copy(self, id, Kind.Int, value, sizeof(long));

    [UnmanagedCallersOnly]
    private static int SetFloat(void* self, byte* id, double value) => Set(self, id, Kind.Float, &value, sizeof(double));

    [UnmanagedCallersOnly]
    private static int GetFloat(void* self, byte* id, double* value) => Copy(self, id, Kind.Float, value, sizeof(double));

    [UnmanagedCallersOnly]
    private static int SetString(void* self, byte* id, char* value) =>
        value == null
            ? Result.InvalidArgument
            : Set(self, id, Kind.Text, value, (MemoryMarshal.CreateReadOnlySpanFromNullTerminated(value).Length + 1) * sizeof(char));

    [UnmanagedCallersOnly]
    private static int GetString(void* self, byte* id, char* value, uint sizeInBytes)
    {
        if (value == null || sizeInBytes < sizeof(char))
            return Result.InvalidArgument;
        var result = Copy(self, id, Kind.Text, value, (int)Math.Min(sizeInBytes, int.MaxValue));
        if (result == Result.Ok)
            value[sizeInBytes / sizeof(char) - 1] = '\0';
        return result;
    }

    [UnmanagedCallersOnly]
    private static int SetBinary(void* self, byte* id, void* data, uint sizeInBytes) =>
        (data == null && sizeInBytes > 0) || sizeInBytes > int.MaxValue ? Result.InvalidArgument : Set(self, id, Kind.Binary, data, (int)sizeInBytes);

    [UnmanagedCallersOnly]
    private static int GetBinary(void* self, byte* id, void** data, uint* sizeInBytes)
    {
        try
        {
            if (data == null || sizeInBytes == null || !TryGet(self, id, Kind.Binary, out var value))
                return Result.False;
            *data = (void*)value.Bytes;
            *sizeInBytes = (uint)value.Length;
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    private static int Set(void* self, byte* id, Kind kind, void* value, int length)
    {
        try
        {
            if (id == null)
                return Result.InvalidArgument;
            var values = From<HostAttributes>(self).values;
            var key = (Name(id), kind);
            if (values.Remove(key, out var old))
                NativeMemory.Free((void*)old.Bytes);
            var copy = NativeMemory.Alloc((nuint)Math.Max(1, length));
            NativeMemory.Copy(value, copy, (nuint)length);
            values[key] = ((nint)copy, length);
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    private static int Copy(void* self, byte* id, Kind kind, void* target, int room)
    {
        try
        {
            if (target == null || !TryGet(self, id, kind, out var value))
                return Result.False;
            NativeMemory.Copy((void*)value.Bytes, target, (nuint)Math.Min(value.Length, room));
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    private static bool TryGet(void* self, byte* id, Kind kind, out (nint Bytes, int Length) value)
    {
        value = default;
        return id != null && From<HostAttributes>(self).values.TryGetValue((Name(id), kind), out value);
    }

    private static string Name(byte* id) => Marshal.PtrToStringUTF8((nint)id) ?? "";
}
