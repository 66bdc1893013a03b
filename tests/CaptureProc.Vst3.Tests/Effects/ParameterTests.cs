using CaptureProc.Vst3.Effects;

namespace CaptureProc.Vst3.Tests.Effects;

public sealed class ParameterTests
{
    public static TheoryData<string> Kinds => ["trim", "delay", "list", "long list", "switch"];

    [Theory]
    [MemberData(nameof(Kinds))]
    public void PlainValuesSurviveAJourneyThroughA32BitFloat(string kind)
    {
        // Hosts store normalized and plain values as 32-bit floats; a float has 24 bits, so a range of 24 dB keeps 2e-6 dB.
        var parameter = Make(kind);
        var random = new Random(3);
        for (var i = 0; i < 1000; i++)
        {
            var plain = parameter.StepCount > 0
                ? random.Next(parameter.StepCount + 1)
                : Math.Round(parameter.Minimum + random.NextDouble() * (parameter.Maximum - parameter.Minimum), parameter.Decimals);
            var back = parameter.ToPlain((float)parameter.ToNormalized((float)plain));
            if (parameter.StepCount > 0)
                Assert.Equal(plain, back);
            else
                Assert.Equal(plain, back, (parameter.Maximum - parameter.Minimum) * 1.2e-7);
            Assert.Equal(parameter.Format(plain), parameter.Format(back));
        }
    }

    [Theory]
    [MemberData(nameof(Kinds))]
    public void TextReadsBackAsTheSameValue(string kind)
    {
        var parameter = Make(kind);
        for (var i = 0; i <= 40; i++)
        {
            var text = parameter.Format(parameter.ToPlain(i / 40.0));
            Assert.True(parameter.TryParse(text, out var plain));
            Assert.Equal(text, parameter.Format(plain));
            Assert.True(parameter.TryParse($" {text} {parameter.Unit} ", out var withUnit));
            Assert.Equal(plain, withUnit);
        }
    }

    [Fact]
    public void TextIsTheSameInEveryCultureAndNeverMinusZero()
    {
        var parameter = Make("trim");
        Assert.Equal("-3.50", parameter.Format(-3.5));
        Assert.Equal("0.00", parameter.Format(-0.001));
        Assert.False(parameter.TryParse("3,5", out _));
        Assert.False(parameter.TryParse("loud", out _));
        Assert.False(parameter.TryParse("NaN", out _));
    }

    [Fact]
    public void StepsShareTheRangeEvenly()
    {
        // The rule of the interface (VST 3 documentation, parameters): plain = min(steps, floor(normalized * (steps + 1))).
        var list = Make("list");
        Assert.Equal([0, 0, 1, 1, 2, 2], new[] { 0, 0.33, 0.34, 0.66, 0.67, 1.0 }.Select(list.ToPlain));
        Assert.Equal([0, 0.5, 1], new[] { 0.0, 1, 2 }.Select(list.ToNormalized));
    }

    [Fact]
    public void ValuesOutsideTheRangeStopAtItsEnds()
    {
        var trim = Make("trim");
        Assert.Equal((0, 1), (trim.ToNormalized(-100), trim.ToNormalized(100)));
        Assert.Equal((-12, 12), (trim.ToPlain(-1), trim.ToPlain(2)));
    }

    [Fact]
    public void ATableRefusesAnIdOrATitleTwice()
    {
        Assert.Throws<ArgumentException>(() => new ParameterTable(Parameter.Switch(1, "A"), Parameter.Switch(1, "B")));
        Assert.Throws<ArgumentException>(() => new ParameterTable(Parameter.Switch(1, "A"), Parameter.Switch(2, "a")));
        Assert.Throws<ArgumentOutOfRangeException>(() => Parameter.Switch(0x80000000, "A"));
    }

    private static Parameter Make(string kind) => kind switch
    {
        "trim" => Parameter.Range(1, "Trim", "dB", -12, 12, 0, 2),
        "delay" => Parameter.Range(2, "Delay", "ms", -10, 200, 0, 3),
        "list" => Parameter.List(3, "Mode", ["One", "Two", "Three"]),
        "long list" => Parameter.NamedByEffect(4, "Entry", 4096),
        _ => Parameter.Switch(5, "Switch"),
    };
}
