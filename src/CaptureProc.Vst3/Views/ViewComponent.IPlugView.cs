using System.Runtime.InteropServices;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Com;

namespace CaptureProc.Vst3.Views;

internal sealed unsafe partial class ViewComponent
{
    private const float LeastContentScale = 0.5f, MostContentScale = 8;

    private static IPlugView.Vtbl* BuildViewTable()
    {
        var table = InterfaceMap.NewTable<IPlugView.Vtbl>();
        table->Base = UnknownTable;
        table->IsPlatformTypeSupported = &IsPlatformTypeSupported;
        table->Attached = &Attached;
        table->Removed = &Removed;
        table->OnWheel = &OnWheel;
        table->OnKeyDown = &OnKeyDown;
        table->OnKeyUp = &OnKeyUp;
        table->GetSize = &GetSize;
        table->OnSize = &OnSize;
        table->OnFocus = &OnFocus;
        table->SetFrame = &SetFrame;
        table->CanResize = &CanResize;
        table->CheckSizeConstraint = &CheckSizeConstraint;
        return table;
    }

    private static IPlugViewContentScaleSupport.Vtbl* BuildScaleTable()
    {
        var table = InterfaceMap.NewTable<IPlugViewContentScaleSupport.Vtbl>();
        table->Base = UnknownTable;
        table->SetContentScaleFactor = &SetContentScaleFactor;
        return table;
    }

    [UnmanagedCallersOnly]
    private static int IsPlatformTypeSupported(void* self, byte* type)
    {
        try
        {
            return type != null && Marshal.PtrToStringUTF8((nint)type) == PlatformType ? Result.True : Result.False;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    [UnmanagedCallersOnly]
    private static int Attached(void* self, void* parent, byte* type)
    {
        try
        {
            if (parent == null || type == null || Marshal.PtrToStringUTF8((nint)type) != PlatformType)
                return Result.InvalidArgument;
            return Self(self).Attach(parent) ? Result.Ok : Result.False;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    [UnmanagedCallersOnly]
    private static int Removed(void* self)
    {
        try
        {
            Self(self).Detach();
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    // The window hears the wheel itself, with the place where it was turned.
    [UnmanagedCallersOnly]
    private static int OnWheel(void* self, float distance) => Result.False;

    [UnmanagedCallersOnly]
    private static int OnKeyDown(void* self, char character, short code, short modifiers)
    {
        try
        {
            var component = Self(self);
            return component.window != null && HostKeys.TryRead(character, code, modifiers, out var key) && component.view.OnKey(key)
                ? Result.True
                : Result.False;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    [UnmanagedCallersOnly]
    private static int OnKeyUp(void* self, char character, short code, short modifiers) => Result.False;

    [UnmanagedCallersOnly]
    private static int GetSize(void* self, ViewRect* size)
    {
        try
        {
            if (size == null)
                return Result.InvalidArgument;
            var component = Self(self);
            *size = RectOf(component.given ?? component.PreferredSize);
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    [UnmanagedCallersOnly]
    private static int OnSize(void* self, ViewRect* size)
    {
        try
        {
            if (size == null || size->Right <= size->Left || size->Bottom <= size->Top)
                return Result.InvalidArgument;
            var component = Self(self);
            var (width, height) = (size->Right - size->Left, size->Bottom - size->Top);
            component.given = (width, height);
            component.window?.Resize(width, height);
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    [UnmanagedCallersOnly]
    private static int OnFocus(void* self, byte state)
    {
        try
        {
            // Losing is final; getting it is seen by the window itself when the keys really come here.
            if (state == 0)
                Self(self).view.OnFocus(false);
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    // The frame is lent, not counted: it outlives the view, and some hosts do not count it.
    [UnmanagedCallersOnly]
    private static int SetFrame(void* self, IPlugFrame* frame)
    {
        try
        {
            Self(self).frame = frame;
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    [UnmanagedCallersOnly]
    private static int CanResize(void* self) => Result.True;

    [UnmanagedCallersOnly]
    private static int CheckSizeConstraint(void* self, ViewRect* size)
    {
        try
        {
            if (size == null)
                return Result.InvalidArgument;
            var component = Self(self);
            var (smallest, largest) = component.view.ScaleRange;
            var wanted = Math.Min(
                (size->Right - size->Left) / (double)component.view.NaturalSize.Width,
                (size->Bottom - size->Top) / (double)component.view.NaturalSize.Height);
            var (width, height) = component.SizeAt(Math.Clamp(wanted, smallest * component.contentScale, largest * component.contentScale));
            (size->Right, size->Bottom) = (size->Left + width, size->Top + height);
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    [UnmanagedCallersOnly]
    private static int SetContentScaleFactor(void* self, float factor)
    {
        try
        {
            if (!(factor >= LeastContentScale && factor <= MostContentScale))
                return Result.InvalidArgument;
            var component = Self(self);
            if (component.contentScale == factor)
                return Result.Ok;
            component.contentScale = factor;
            component.given = null;
            if (component.window != null)
                component.RequestPreferredSize();
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }
}
