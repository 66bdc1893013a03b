using System.Numerics;

namespace CaptureProc.Dsp.Design.Binaural;

/// <summary>The covariance of the two ears' signals at one frequency: two powers and a cross term, a Hermitian 2x2 matrix.</summary>
/// <remarks>Cross is E[left · conj(right)].</remarks>
internal readonly record struct EarCovariance(double Left, double Right, Complex Cross)
{
    /// <summary>The mixing matrix that turns signals of this covariance into signals of another while changing them least.</summary>
    /// <remarks>
    /// Of all M with M·A·Mᴴ = B, the one with the least E|M·x − x|² is Hermitian and positive: M = A⁻¹ # B, the geometric mean.
    /// For 2x2 matrices the mean has a closed form: with α² = det A⁻¹ and β² = det B it is √(αβ)·S/√det S, S = A⁻¹/α + B/β.
    /// Source: Bhatia, Positive Definite Matrices, 2007, proposition 4.1.12; Vilkamo, Bäckström and Kuntz, Optimized covariance
    /// domain framework, J. Audio Eng. Soc. 61(6), 2013, for least change as the rule of choice (both from memory).
    /// Both matrices get a small floor first: at the lowest frequencies the ears hear the same and A has no inverse.
    /// </remarks>
    public EarMix MixTo(EarCovariance target)
    {
        // -40 dB of a flat ear: the coherence of low frequencies is met to that, and nothing is ever amplified by more than 40 dB.
        const double floor = 1e-4;
        var (a, b) = (WithFloor(floor), target.WithFloor(floor));
        var alpha = 1 / Math.Sqrt(a.Determinant);
        var beta = Math.Sqrt(b.Determinant);
        // A⁻¹ = [right, -cross; -cross*, left] / det A, and dividing by α leaves the factor 1/√det A = α.
        var sum = new EarCovariance(a.Right * alpha + b.Left / beta, a.Left * alpha + b.Right / beta, -a.Cross * alpha + b.Cross / beta);
        var scale = Math.Sqrt(alpha * beta / sum.Determinant);
        return new EarMix(scale * sum.Left, scale * sum.Right, scale * sum.Cross);
    }

    private double Determinant => Left * Right - Cross.Real * Cross.Real - Cross.Imaginary * Cross.Imaginary;

    private EarCovariance WithFloor(double floor) => new(Left + floor, Right + floor, Cross);
}

/// <summary>A Hermitian mix of the ears: left' = Left·left + Cross·right, right' = conj(Cross)·left + Right·right.</summary>
internal readonly record struct EarMix(double Left, double Right, Complex Cross)
{
    public (Complex Left, Complex Right) Apply(Complex left, Complex right) =>
        (Left * left + Cross * right, Complex.Conjugate(Cross) * left + Right * right);
}
