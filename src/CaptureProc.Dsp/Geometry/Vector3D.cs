namespace CaptureProc.Dsp.Geometry;

/// <summary>A point or direction in the session's axes: x to the front, y to the left, z up. Metres where it is a place.</summary>
public readonly record struct Vector3D(double X, double Y, double Z)
{
    public static readonly Vector3D Front = new(1, 0, 0);
    public static readonly Vector3D Left = new(0, 1, 0);
    public static readonly Vector3D Up = new(0, 0, 1);

    public double Length => Math.Sqrt(X * X + Y * Y + Z * Z);

    public static Vector3D operator +(Vector3D a, Vector3D b) => new(a.X + b.X, a.Y + b.Y, a.Z + b.Z);

    public static Vector3D operator -(Vector3D a, Vector3D b) => new(a.X - b.X, a.Y - b.Y, a.Z - b.Z);

    public static Vector3D operator -(Vector3D a) => new(-a.X, -a.Y, -a.Z);

    public static Vector3D operator *(double k, Vector3D a) => new(k * a.X, k * a.Y, k * a.Z);

    public static double Dot(Vector3D a, Vector3D b) => a.X * b.X + a.Y * b.Y + a.Z * b.Z;

    public static Vector3D Cross(Vector3D a, Vector3D b) =>
        new(a.Y * b.Z - a.Z * b.Y, a.Z * b.X - a.X * b.Z, a.X * b.Y - a.Y * b.X);

    // The equality that the compiler writes fetches a comparer for every type of a field, and makes it where it is the first to ask:
    // an allocation, and turns are compared on the audio thread.
    public bool Equals(Vector3D other) => X.Equals(other.X) && Y.Equals(other.Y) && Z.Equals(other.Z);

    public override int GetHashCode() => HashCode.Combine(X, Y, Z);

    /// <summary>The same direction with length 1; the zero vector has none and stays zero.</summary>
    public Vector3D Normalised()
    {
        var length = Length;
        return length > 0 ? 1 / length * this : this;
    }
}
