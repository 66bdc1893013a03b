using CaptureProc.Vst3.Com;

namespace CaptureProc.Vst3.Tests.Com;

public sealed unsafe class NativeTextTests
{
    [Theory]
    [InlineData("", "")]
    [InlineData("seven..", "seven..")]
    [InlineData("eight...", "eight..")]
    [InlineData("much too long", "much to")]
    [InlineData("sixsix😀", "sixsix")]
    public void TextIsCutToItsFieldAndClosedByAZero(string text, string kept)
    {
        var field = stackalloc char[9];
        new Span<char>(field, 9).Fill('#');
        NativeText.Write(text, field, 8);
        Assert.Equal(kept, NativeText.Read(field, 8));
        Assert.Equal('#', field[8]);
    }

    [Theory]
    [InlineData("12345678", "1234567")]
    [InlineData("ääää", "äää")]
    public void Utf8IsCutBetweenCharacters(string text, string kept)
    {
        var field = stackalloc byte[9];
        field[8] = (byte)'#';
        NativeText.WriteUtf8(text, field, 8);
        Assert.Equal(kept, NativeText.ReadUtf8(field, 8));
        Assert.Equal((byte)'#', field[8]);
    }

    [Fact]
    public void AFieldWithoutAZeroIsReadToItsEndAndNoFurther()
    {
        var field = stackalloc char[4];
        "abcd".CopyTo(new Span<char>(field, 4));
        Assert.Equal("abc", NativeText.Read(field, 3));
    }
}
