// Draws the windows of the plug-ins for the handbook: FOLDER gets a PNG of each.
using CaptureProc.Testing;

if (args.Length < 1)
{
    Console.Error.WriteLine("usage: WindowPictures FOLDER [NAME…]");
    return 2;
}
Directory.CreateDirectory(args[0]);
foreach (var name in args is [_, "large"] ? [.. WindowScenes.Large] : args.Length > 1 ? args[1..] : [.. WindowScenes.Names])
{
    using var studio = WindowScenes.At(name);
    studio.Picture.Save(Path.Combine(args[0], name + ".png"));
    Console.WriteLine($"{name}.png  {studio.Picture.Width} × {studio.Picture.Height}");
}
return 0;
