using System.Buffers.Binary;
using System.Text;
using CaptureProc.Vst3.Abi;

namespace CaptureProc.Vst3.Hosting;

/// <summary>The file in which hosts keep the state of a plug-in.</summary>
/// <remarks>
/// Thread: [any]. Little-endian: "VST3", int32 version 1, 32 hexadecimal digits of the class, int64 offset of the list;
/// the chunks; "List", int32 count, and for each chunk its four letters, int64 offset, int64 size.
/// "Comp" holds the component's state, "Cont" the controller's.
/// Source: VST 3 documentation, "Preset format", SDK 3.8.
/// </remarks>
public static class PresetFile
{
    private const int HeadBytes = 48;
    private const int EntryBytes = 20;

    /// <summary>The component's state in a preset; an exception when the bytes are no preset or one of another class.</summary>
    public static byte[] ReadComponentState(ReadOnlySpan<byte> file, Tuid expectedClass, string name)
    {
        if (file.Length < HeadBytes || !file[..4].SequenceEqual("VST3"u8))
            throw new PluginException($"'{name}' is not a VST 3 preset.");
        var id = Encoding.ASCII.GetString(file.Slice(8, 32));
        if (!Tuid.TryParse(id, out var written) || written != expectedClass)
            throw new PluginException($"'{name}' belongs to another plug-in (class {id}; this one is {expectedClass}).");
        var list = BinaryPrimitives.ReadInt64LittleEndian(file[40..]);
        if (list < HeadBytes || list > file.Length - 8 || !file.Slice((int)list, 4).SequenceEqual("List"u8))
            throw new PluginException($"'{name}' is a damaged preset: its list of chunks is missing.");
        var entries = file[((int)list + 8)..];
        var count = BinaryPrimitives.ReadInt32LittleEndian(file[((int)list + 4)..]);
        for (var i = 0; i < count && entries.Length >= EntryBytes; i++, entries = entries[EntryBytes..])
        {
            if (!entries[..4].SequenceEqual("Comp"u8))
                continue;
            var (offset, size) = (BinaryPrimitives.ReadInt64LittleEndian(entries[4..]), BinaryPrimitives.ReadInt64LittleEndian(entries[12..]));
            if (offset < 0 || size < 0 || offset > file.Length - size)
                break;
            return file.Slice((int)offset, (int)size).ToArray();
        }
        throw new PluginException($"'{name}' is a damaged preset: it holds no state of the component.");
    }

    public static byte[] Write(Tuid classId, ReadOnlySpan<byte> componentState)
    {
        var bytes = new byte[HeadBytes + componentState.Length + 8 + EntryBytes];
        "VST3"u8.CopyTo(bytes);
        BinaryPrimitives.WriteInt32LittleEndian(bytes.AsSpan(4), 1);
        Encoding.ASCII.GetBytes(classId.ToString(), bytes.AsSpan(8, 32));
        BinaryPrimitives.WriteInt64LittleEndian(bytes.AsSpan(40), HeadBytes + componentState.Length);
        componentState.CopyTo(bytes.AsSpan(HeadBytes));
        var list = bytes.AsSpan(HeadBytes + componentState.Length);
        "List"u8.CopyTo(list);
        BinaryPrimitives.WriteInt32LittleEndian(list[4..], 1);
        "Comp"u8.CopyTo(list[8..]);
        BinaryPrimitives.WriteInt64LittleEndian(list[12..], HeadBytes);
        BinaryPrimitives.WriteInt64LittleEndian(list[20..], componentState.Length);
        return bytes;
    }
}
