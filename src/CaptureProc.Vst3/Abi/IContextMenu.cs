namespace CaptureProc.Vst3.Abi;

/// <summary>The host's menu for a parameter, with whatever the host has to offer there.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ivstcontextmenu.h).</remarks>
public unsafe struct IContextMenu
{
    public Vtbl* Table;

    public static Tuid Iid => new(0x2E93C863, 0x0C9C4588, 0x97DBECF5, 0xAD17817D);

    public struct Vtbl
    {
        public FUnknown.Vtbl Base;

        public delegate* unmanaged<void*, int> GetItemCount;
        public delegate* unmanaged<void*, int, void*, void**, int> GetItem;
        public delegate* unmanaged<void*, void*, void*, int> AddItem;
        public delegate* unmanaged<void*, void*, void*, int> RemoveItem;
        public delegate* unmanaged<void*, int, int, int> Popup;
    }
}

/// <summary>The component handler of a host that makes such menus.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ivstcontextmenu.h).</remarks>
public unsafe struct IComponentHandler3
{
    public Vtbl* Table;

    public static Tuid Iid => new(0x69F11617, 0xD26B400D, 0xA4B6B964, 0x7B6EBBAB);

    public struct Vtbl
    {
        public FUnknown.Vtbl Base;

        public delegate* unmanaged<void*, IPlugView*, uint*, void*> CreateContextMenu;
    }
}
