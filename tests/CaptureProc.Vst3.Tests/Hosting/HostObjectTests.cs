using System.Text;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Com;
using CaptureProc.Vst3.Hosting;

namespace CaptureProc.Vst3.Tests.Hosting;

/// <summary>What the host hands to plug-ins, used through its native tables.</summary>
public sealed unsafe class HostObjectTests
{
    [Fact]
    public void AMessageCarriesItsNameAndValuesOfEveryKind()
    {
        var context = new HostContext();
        var host = (IHostApplication*)context.Pointer();
        var name = stackalloc char[NativeText.String128Length];
        Assert.Equal(Result.Ok, host->Table->GetName(host, name));
        Assert.Equal("CaptureProc", NativeText.Read(name, NativeText.String128Length));

        var id = IMessage.Iid;
        void* made;
        Assert.Equal(Result.Ok, host->Table->CreateInstance(host, &id, &id, &made));
        using var message = ComReference<IMessage>.Own(made)!;
        var table = message.Pointer->Table;
        fixed (byte* subject = "subject\0"u8, key = "key\0"u8, other = "other\0"u8)
        {
            Assert.True(table->GetMessageId(message.Pointer) == null);
            table->SetMessageId(message.Pointer, subject);
            Assert.Equal("subject", NativeText.ReadUtf8(table->GetMessageId(message.Pointer), 16));

            var attributes = table->GetAttributes(message.Pointer);
            long whole;
            double number;
            Assert.Equal(Result.Ok, attributes->Table->SetInt(attributes, key, long.MinValue));
            Assert.Equal(Result.Ok, attributes->Table->SetFloat(attributes, key, Math.PI));
            Assert.Equal(Result.Ok, attributes->Table->GetInt(attributes, key, &whole));
            Assert.Equal(Result.Ok, attributes->Table->GetFloat(attributes, key, &number));
            Assert.Equal((long.MinValue, Math.PI), (whole, number));
            Assert.NotEqual(Result.Ok, attributes->Table->GetInt(attributes, other, &whole));

            fixed (char* text = "a longer text\0".AsSpan())
                Assert.Equal(Result.Ok, attributes->Table->SetString(attributes, key, text));
            var room = stackalloc char[6];
            Assert.Equal(Result.Ok, attributes->Table->GetString(attributes, key, room, 12));
            Assert.Equal("a lon", NativeText.Read(room, 6));

            fixed (byte* bytes = Encoding.ASCII.GetBytes("binary"))
                Assert.Equal(Result.Ok, attributes->Table->SetBinary(attributes, key, bytes, 6));
            void* data;
            uint size;
            Assert.Equal(Result.Ok, attributes->Table->GetBinary(attributes, key, &data, &size));
            Assert.Equal("binary", Encoding.ASCII.GetString((byte*)data, (int)size));
        }
        Assert.Equal(1, context.ReferenceCount);
        context.Release();
    }

    [Fact]
    public void APointAddedOutOfOrderStandsInOrder()
    {
        var changes = new HostParameterChanges();
        var face = changes.Changes;
        uint id = 7;
        int index;
        var queue = face->Table->AddParameterData(face, &id, &index);
        Assert.True(queue == face->Table->AddParameterData(face, &id, &index));
        foreach (var frame in new[] { 30, 10, 20, 10 })
            queue->Table->AddPoint(queue, frame, frame / 100.0, &index);
        Assert.Equal(1, face->Table->GetParameterCount(face));
        Assert.Equal(7u, queue->Table->GetParameterId(queue));
        Assert.Equal([10, 10, 20, 30], changes[0].Points.Select(p => p.Frame));
        Assert.True(face->Table->GetParameterData(face, 1) == null);
        changes.Release();
    }

    [Fact]
    public void AStreamSeeksAsFilesDo()
    {
        var stream = new HostStream("0123456789"u8);
        var face = stream.Stream;
        long position;
        var buffer = stackalloc byte[4];
        int count;
        Assert.Equal(Result.Ok, face->Table->Seek(face, -3, 2, &position));
        Assert.Equal(7, position);
        Assert.Equal(Result.Ok, face->Table->Read(face, buffer, 4, &count));
        Assert.Equal((3, (byte)'7'), (count, buffer[0]));
        Assert.Equal(Result.Ok, face->Table->Seek(face, -1, 1, null));
        Assert.Equal(Result.Ok, face->Table->Tell(face, &position));
        Assert.Equal(9, position);
        Assert.NotEqual(Result.Ok, face->Table->Seek(face, -1, 0, null));
        stream.Release();
    }
}
