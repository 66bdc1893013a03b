using CaptureProc.Testing;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Com;
using CaptureProc.Vst3.Effects;
using CaptureProc.Vst3.Hosting;
using CaptureProc.Vst3.TestPlugin;

namespace CaptureProc.Vst3.Tests.Com;

/// <remarks>Counts are read from what AddRef and Release return through the native tables, as a host would.</remarks>
public sealed unsafe class ReferenceCountTests
{
    [Fact]
    public void CreatingAnInstanceHandsOverOneReference()
    {
        var factory = new EffectFactory(new FactoryDescription("Tests", "", ""), GainEffect.Class);
        var component = CreateComponent(factory);
        Assert.Equal(1u, CountOf(component));
        Assert.Equal(0u, ((FUnknown*)component)->Table->Release(component));
        Assert.Equal(0u, factory.Release());
    }

    [Fact]
    public void EveryQueryHandsOverOneReferenceAndEveryReleaseTakesOneBack()
    {
        var factory = new EffectFactory(new FactoryDescription("Tests", "", ""), GainEffect.Class);
        var component = CreateComponent(factory);
        Tuid[] answered = [FUnknown.Iid, IPluginBase.Iid, IComponent.Iid, IAudioProcessor.Iid, IEditController.Iid, IProcessContextRequirements.Iid];
        for (var i = 0; i < answered.Length; i++)
        {
            var id = answered[i];
            void* asked;
            Assert.Equal(Result.Ok, ((FUnknown*)component)->Table->QueryInterface(component, &id, &asked));
            Assert.True(asked != null);
            Assert.Equal(2u, CountOf(component));
            Assert.Equal(1u, ((FUnknown*)asked)->Table->Release(asked));
        }
        ((FUnknown*)component)->Table->Release(component);
        factory.Release();
    }

    [Fact]
    public void TheRootIsOnePointerWhicheverInterfaceIsAsked()
    {
        var factory = new EffectFactory(new FactoryDescription("Tests", "", ""), GainEffect.Class);
        var component = CreateComponent(factory);
        using var processor = ComReference<IAudioProcessor>.Query(component, IAudioProcessor.Iid)!;
        using var controller = ComReference<IEditController>.Query(component, IEditController.Iid)!;
        using var root = ComReference<FUnknown>.Query(component, FUnknown.Iid)!;
        using var rootOfProcessor = ComReference<FUnknown>.Query(processor.Pointer, FUnknown.Iid)!;
        using var rootOfController = ComReference<FUnknown>.Query(controller.Pointer, FUnknown.Iid)!;
        Assert.True(root.Pointer == rootOfProcessor.Pointer && root.Pointer == rootOfController.Pointer);
        Assert.True((void*)processor.Pointer != controller.Pointer);
        ((FUnknown*)component)->Table->Release(component);
        factory.Release();
    }

    [Fact]
    public void AnUnknownIdIsRefusedWithANullPointerAndNoReference()
    {
        var factory = new EffectFactory(new FactoryDescription("Tests", "", ""), GainEffect.Class);
        var component = CreateComponent(factory);
        var unknown = new Tuid(1, 2, 3, 4);
        var result = (void*)1;
        Assert.Equal(Result.NoInterface, ((FUnknown*)component)->Table->QueryInterface(component, &unknown, &result));
        Assert.True(result == null);
        Assert.Equal(1u, CountOf(component));

        var wanted = FUnknown.Iid;
        result = (void*)1;
        var face = (IPluginFactory*)factory.Pointer();
        Assert.NotEqual(Result.Ok, face->Table->CreateInstance(face, &unknown, &wanted, &result));
        Assert.True(result == null);
        var gain = GainEffect.Class.Id;
        result = (void*)1;
        Assert.Equal(Result.NoInterface, face->Table->CreateInstance(face, &gain, &unknown, &result));
        Assert.True(result == null);
        ((FUnknown*)component)->Table->Release(component);
        factory.Release();
    }

    [Fact]
    public void ANullPointerIsAnsweredWithAResultCode()
    {
        var factory = new EffectFactory(new FactoryDescription("Tests", "", ""), GainEffect.Class);
        var component = CreateComponent(factory);
        var unknown = (FUnknown*)component;
        var id = FUnknown.Iid;
        void* result;
        Assert.Equal(Result.InvalidArgument, unknown->Table->QueryInterface(component, null, &result));
        Assert.Equal(Result.InvalidArgument, unknown->Table->QueryInterface(component, &id, null));
        var face = (IPluginFactory3*)factory.Pointer();
        Assert.Equal(Result.InvalidArgument, face->Table->Base.Base.GetFactoryInfo(face, null));
        Assert.Equal(Result.InvalidArgument, face->Table->Base.Base.GetClassInfo(face, 0, null));
        Assert.Equal(Result.InvalidArgument, face->Table->Base.GetClassInfo2(face, 0, null));
        Assert.Equal(Result.InvalidArgument, face->Table->GetClassInfoUnicode(face, 0, null));
        Assert.Equal(Result.InvalidArgument, face->Table->Base.Base.CreateInstance(face, null, null, null));
        var whole = (IComponent*)component;
        Assert.Equal(Result.InvalidArgument, whole->Table->SetState(component, null));
        Assert.Equal(Result.InvalidArgument, whole->Table->GetState(component, null));
        Assert.Equal(Result.InvalidArgument, whole->Table->GetBusInfo(component, 0, 0, 0, null));
        unknown->Table->Release(component);
        factory.Release();
    }

    [Fact]
    public void TheComponentHandlerIsHeldOnceAndLetGoAtTheEnd()
    {
        var factory = new EffectFactory(new FactoryDescription("Tests", "", ""), GainEffect.Class);
        var component = CreateComponent(factory);
        using var controller = ComReference<IEditController>.Query(component, IEditController.Iid)!;
        ((FUnknown*)component)->Table->Release(component);
        var handler = new HostComponentHandler((_, _) => { });
        var face = (IComponentHandler*)handler.Pointer();
        var table = controller.Pointer->Table;
        Assert.Equal(Result.Ok, table->SetComponentHandler(controller.Pointer, face));
        Assert.Equal(2, handler.ReferenceCount);
        table->SetComponentHandler(controller.Pointer, face);
        Assert.Equal(2, handler.ReferenceCount);
        table->Base.Terminate(controller.Pointer);
        Assert.Equal(1, handler.ReferenceCount);
        table->SetComponentHandler(controller.Pointer, face);
        table->SetComponentHandler(controller.Pointer, null);
        Assert.Equal(1, handler.ReferenceCount);
        table->SetComponentHandler(controller.Pointer, face);
        controller.Dispose();
        Assert.Equal(1, handler.ReferenceCount);
        handler.Release();
        factory.Release();
    }

    [Fact]
    public void AWholeLifeInTheHostLeavesNoReferenceBehind()
    {
        var closed = 0;
        var counted = GainEffect.Class with { Create = () => new CountingEffect(() => closed++) };
        for (var i = 0; i < 10; i++)
        {
            using var hosted = InProcess.Create(counted);
            hosted.Start(48000, 64);
            hosted.Process(64);
        }
        Assert.Equal(10, closed);
    }

    private static void* CreateComponent(EffectFactory factory)
    {
        var face = (IPluginFactory*)factory.Pointer();
        var (classId, interfaceId) = (GainEffect.Class.Id, IComponent.Iid);
        void* component;
        Assert.Equal(Result.Ok, face->Table->CreateInstance(face, &classId, &interfaceId, &component));
        return component;
    }

    private static uint CountOf(void* self)
    {
        ((FUnknown*)self)->Table->AddRef(self);
        return ((FUnknown*)self)->Table->Release(self);
    }

    private sealed class CountingEffect(Action onClosed) : AudioEffect
    {
        public override int LatencyFrames => 0;

        public override void Prepare(double sampleRateHz, int maxBlockFrames)
        {
        }

        public override void Reset()
        {
        }

        public override void Process(in AudioBlock block)
        {
        }

        public override void OnClosed() => onClosed();
    }
}
