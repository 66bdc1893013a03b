namespace CaptureProc.Vst3.Abi;

/// <summary>The window of a plug-in inside one of the host's.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (iplugview.h).</remarks>
public unsafe struct IPlugView
{
    public Vtbl* Table;

    public static Tuid Iid => new(0x5BC32507, 0xD06049EA, 0xA6151B52, 0x2B755B29);

    public struct Vtbl
    {
        public FUnknown.Vtbl Base;

        public delegate* unmanaged<void*, byte*, int> IsPlatformTypeSupported;
        public delegate* unmanaged<void*, void*, byte*, int> Attached;
        public delegate* unmanaged<void*, int> Removed;
        public delegate* unmanaged<void*, float, int> OnWheel;
        public delegate* unmanaged<void*, char, short, short, int> OnKeyDown;
        public delegate* unmanaged<void*, char, short, short, int> OnKeyUp;
        public delegate* unmanaged<void*, ViewRect*, int> GetSize;
        public delegate* unmanaged<void*, ViewRect*, int> OnSize;
        public delegate* unmanaged<void*, byte, int> OnFocus;
        public delegate* unmanaged<void*, IPlugFrame*, int> SetFrame;
        public delegate* unmanaged<void*, int> CanResize;
        public delegate* unmanaged<void*, ViewRect*, int> CheckSizeConstraint;
    }
}
