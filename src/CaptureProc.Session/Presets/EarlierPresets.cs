namespace CaptureProc.Session;

/// <summary>Names of presets that are no longer listed but that scripts and notes may still hold.</summary>
/// <remarks>
/// They were builds of 14.7 mm, two of them with a channel order of their own. Each is today's 15 mm preset with the radius and the
/// order that its name states; who starts anew takes a plain radius and says the order with <c>--order</c>.
/// </remarks>
internal static class EarlierPresets
{
    private const string Build = "tetra-14.7mm-";
    private const string BuildOfToday = "tetra-15mm-";
    private const string WithOrder = "-order-";
    private const double RadiusMm = 14.7;

    private static readonly string[] Orders = ["flu-bld-frd-bru", "flu-bru-frd-bld"];

    /// <summary>The preset of an earlier name, in either case; null where there never was one of that name.</summary>
    public static Preset? Find(string name, IReadOnlyList<Preset> presets)
    {
        if (!name.StartsWith(Build, StringComparison.OrdinalIgnoreCase))
            return null;
        var kind = name[Build.Length..];
        var order = Orders.FirstOrDefault(o => kind.Equals($"cardioid{WithOrder}{o}", StringComparison.OrdinalIgnoreCase));
        var wanted = BuildOfToday + (order is null ? kind : "cardioid");
        if (presets.FirstOrDefault(p => p.Name.Equals(wanted, StringComparison.OrdinalIgnoreCase)) is not { } preset)
            return null;
        return preset with
        {
            Name = name.ToLowerInvariant(),
            RadiusMm = RadiusMm,
            Capsules = order is null ? preset.Capsules : CapsuleLabel.Reorder(order.Split('-'), preset.Capsules),
        };
    }
}
