namespace CaptureProc.Session.Tests.Json;

/// <summary>Whatever is wrong with a session file, one line says what and where.</summary>
public class RefusalTests
{
    [Theory]
    [InlineData("")]
    [InlineData("{")]
    [InlineData("RIFF\0\0\0\0WAVE")]
    [InlineData("""{ "format": "captureproc-session", "version": 1, "sampleRate": "fast" }""")]
    [InlineData("""{ "format": "captureproc-session", "version": 1, "sampleRate": 48000, "arrays": null }""")]
    [InlineData("""{ "format": "captureproc-session", "sampleRate": 48000 }""")]
    [InlineData("""{ "format": "captureproc-session", "version": 1, "sampleRate": 48000 } and more""")]
    [InlineData("""{ "format": "captureproc-session", "version": 1, "sampleRate": 48000, "created": "yesterday" }""")]
    public void DamagedFileIsCalledDamaged(string text)
    {
        var refusal = Samples.Refusal(() => Samples.Parse(text));

        Assert.Equal("session-damaged", refusal.Code);
        Assert.StartsWith("concert.json: is damaged", refusal.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("[]")]
    [InlineData("{}")]
    [InlineData("""{ "format": "something else", "version": 1 }""")]
    public void OtherJsonIsNoSession(string text) =>
        Assert.Equal("not-a-session", Samples.Refusal(() => Samples.Parse(text)).Code);

    [Fact]
    public void NewerFileIsCalledNewerEvenIfItsMembersHaveChanged()
    {
        var refusal = Samples.Refusal(() => Samples.Parse("""{ "format": "captureproc-session", "version": 2, "arrays": "elsewhere" }"""));

        Assert.Equal("session-newer", refusal.Code);
        Assert.Contains("version 2", refusal.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void DamageIsPointedAtByLineAndMember()
    {
        var text = Samples.ContractExample.Replace("\"radiusMm\": 14.7", "\"radiusMm\": \"14.7\"", StringComparison.Ordinal);

        Assert.Contains("line 12, at arrays[0].radiusMm", Samples.Refusal(() => Samples.Parse(text)).Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("\"label\": \"FLU\", ", "", "arrays[0].capsules[0].label is missing")]
    [InlineData("\"label\": \"FLU\"", "\"label\": null", "arrays[0].capsules[0].label is null")]
    [InlineData("\"db\": [0.0, 0.12, -0.05, 0.03]", "\"db\": null", "arrays[0].trimSets[0].db is null")]
    [InlineData("\"db\": [0.0, 0.12, -0.05, 0.03],", "", "arrays[0].trimSets[0].db is missing")]
    [InlineData("\"db\": [0.0, 0.12,", "\"db\": [0.0, null,", "arrays[0].trimSets[0].db[1] is null")]
    [InlineData("\"spots\": [ {", "\"spots\": [ null, {", "spots[0] is null")]
    [InlineData("\"spots\": [ {", "\"seats\": [ {", "spots is missing")]
    [InlineData("\"arrays\": [ {", "\"rows\": [ {", "arrays is missing")]
    [InlineData("\"inputs\": [ {", "\"inputs\": null, \"x\": [ {", "history[0].inputs is null")]
    [InlineData("\"inputs\": [ {", "\"inputs\": [ null, {", "history[0].inputs[0] is null")]
    public void MissingMemberAndNullAreNamed(string right, string wrong, string said)
    {
        Assert.Contains(right, Samples.ContractExample, StringComparison.Ordinal);

        var refusal = Samples.Refusal(() => Samples.Parse(Samples.ContractExample.Replace(right, wrong, StringComparison.Ordinal)));

        Assert.Contains(said, refusal.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("\"samples\": 812.37", "\"samples\": 1e9", "spots[0].delay.samples is 1000000000; it has to be -5760000 to 5760000")]
    [InlineData("[0.0, 0.12, -0.05, 0.03]", "[0.0, 1e308, -0.05, 0.03]", "arrays[0].trimSets[0].db[1] is 1E+308; it has to be -60 to 60")]
    [InlineData("\"gainDb\": -2.3", "\"gainDb\": 1e300", "spots[0].gainDb is 1e300; it has to be -200 to 200")]
    [InlineData("\"gainDb\": -2.3", "\"gainDb\": 1e999", "spots[0].gainDb is 1e999; it has to be -200 to 200")]
    [InlineData("\"azimuthDeg\": 31.2", "\"azimuthDeg\": 4000", "spots[0].direction.azimuthDeg is 4000; it has to be -360 to 360")]
    [InlineData("\"distanceM\": 3.1", "\"distanceM\": -3", "spots[0].distanceM is -3; it has to be 0 to 10000")]
    [InlineData("\"rollDeg\": 0", "\"rollDeg\": 1e20", "arrays[0].mount.rollDeg is 1e20; it has to be -360 to 360")]
    [InlineData("\"timeSeconds\": 12.402", "\"timeSeconds\": -1e20", "clicks[0].timeSeconds is -1e20; it has to be -1000000 to 1000000")]
    public void NumberThatNothingCanBeMadeOfIsNamedWithItsRange(string right, string wrong, string said)
    {
        Assert.Contains(right, Samples.ContractExample, StringComparison.Ordinal);

        var refusal = Samples.Refusal(() => Samples.Parse(Samples.ContractExample.Replace(right, wrong, StringComparison.Ordinal)));

        Assert.Equal("session-invalid", refusal.Code);
        Assert.Contains(said, refusal.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("\"sampleRate\": 48000", "\"sampleRate\": 0", "sampleRate is 0")]
    [InlineData("\"speedOfSound\": 343.2", "\"speedOfSound\": 1", "air.speedOfSound is 1")]
    [InlineData("\"channels\": [1, 2, 3, 4]", "\"channels\": [1, 2, 3]", "arrays[0].channels is 3")]
    [InlineData("\"channels\": [1, 2, 3, 4]", "\"channels\": [1, 2, 3, 3]", "arrays[0].channels is [1, 2, 3, 3]")]
    [InlineData("\"channels\": [1, 2, 3, 4]", "\"channels\": [0, 2, 3, 4]", "arrays[0].channels is 0")]
    [InlineData("\"radiusMm\": 14.7", "\"radiusMm\": -1", "arrays[0].radiusMm is -1")]
    [InlineData("\"pattern\": 0.5", "\"pattern\": 1.2", "arrays[0].pattern is 1.2")]
    [InlineData("\"db\": [0.0, 0.12, -0.05, 0.03]", "\"db\": [0.0]", "arrays[0].trimSets[0].db is 1")]
    [InlineData("\"activeTrim\": \"line-up\"", "\"activeTrim\": \"gone\"", "arrays[0].activeTrim is \"gone\"")]
    [InlineData("\"polarity\": 1", "\"polarity\": 0", "spots[0].polarity is 0")]
    [InlineData("\"channels\": [5]", "\"channels\": []", "spots[0].channels is empty")]
    [InlineData("\"confidence\": 0.99", "\"confidence\": 99", "spots[0].delay.confidence is 99")]
    [InlineData("\"id\": \"harp\"", "\"id\": \"../harp\"", "spots[0].id is \"../harp\"")]
    [InlineData("\"id\": \"harp\", \"channels\": [5]", "\"id\": \"harp\", \"arrayId\": \"lost\", \"channels\": [5]", "spots[0].arrayId is \"lost\"")]
    public void ValueOutOfRangeIsNamedWithItsMemberAndRange(string right, string wrong, string said)
    {
        Assert.Contains(right, Samples.ContractExample, StringComparison.Ordinal);

        var refusal = Samples.Refusal(() => Samples.Parse(Samples.ContractExample.Replace(right, wrong, StringComparison.Ordinal)));

        Assert.Equal("session-invalid", refusal.Code);
        Assert.Contains($"concert.json: {said}; it has to be ", refusal.Message, StringComparison.Ordinal);
    }
}
