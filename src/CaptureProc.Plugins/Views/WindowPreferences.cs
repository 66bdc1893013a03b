using System.Globalization;

namespace CaptureProc.Plugins.Views;

/// <summary>How this user likes the windows: their size and their contrast. One for the process, kept in one small file.</summary>
/// <remarks>
/// Thread: [main]. The file is written when the user picks something from a window's menu, and at no other time. One that is not
/// there or cannot be read means the usual window; one that cannot be written means that the choice lasts as long as the host.
/// </remarks>
internal sealed class WindowPreferences(string path)
{
    public static readonly IReadOnlyList<double> Sizes = [0.75, 1, 1.25, 1.5, 1.75, 2];

    private bool isRead;
    private double size = 1;
    private bool hasHighContrast;

    public static WindowPreferences OfProcess { get; } = new(UsualPath());

    /// <summary>Grows with every change.</summary>
    public int Version { get; private set; }

    public double Size
    {
        get
        {
            Read();
            return size;
        }
        set => Change(value, hasHighContrast);
    }

    public bool HasHighContrast
    {
        get
        {
            Read();
            return hasHighContrast;
        }
        set => Change(size, value);
    }

    private static string UsualPath()
    {
        var folder = Environment.GetFolderPath(Environment.SpecialFolder.ApplicationData, Environment.SpecialFolderOption.DoNotVerify);
        return Path.Combine(folder, "captureproc", "windows.txt");
    }

    private void Change(double newSize, bool newContrast)
    {
        (size, hasHighContrast, isRead) = (newSize, newContrast, true);
        Version++;
        try
        {
            Directory.CreateDirectory(Path.GetDirectoryName(path)!);
            var beside = path + ".new";
            File.WriteAllText(beside, string.Create(CultureInfo.InvariantCulture, $"size {size}\ncontrast {(hasHighContrast ? "high" : "usual")}\n"));
            File.Move(beside, path, overwrite: true);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or NotSupportedException)
        {
            // Then it lasts as long as the host does.
        }
    }

    private void Read()
    {
        if (isRead)
            return;
        isRead = true;
        try
        {
            foreach (var line in File.ReadLines(path).Take(16))
            {
                var words = line.Split(' ', StringSplitOptions.RemoveEmptyEntries);
                if (words is ["size", var number] && double.TryParse(number, CultureInfo.InvariantCulture, out var read) && Sizes.Contains(read))
                    size = read;
                if (words is ["contrast", var word])
                    hasHighContrast = word == "high";
            }
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // No choice has been made yet, or it cannot be seen: the usual window.
        }
    }
}
