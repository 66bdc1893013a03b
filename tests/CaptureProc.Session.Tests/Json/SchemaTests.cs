using System.Text.Json;
using System.Text.Json.Nodes;
using Json.Schema;

namespace CaptureProc.Session.Tests.Json;

/// <summary>The published schema against what the serialiser writes; the judge is JsonSchema.Net (draft 2020-12).</summary>
public class SchemaTests
{
    private static readonly string SchemaText = ReadSchema();
    private static readonly JsonSchema Schema = JsonSchema.FromText(SchemaText);

    [Fact]
    public void FullDocumentConforms() => Assert.True(Conforms(SessionText.Format(Samples.Full())));

    [Fact]
    public void ContractExampleConforms() => Assert.True(Conforms(System.Text.Encoding.UTF8.GetBytes(Samples.ContractExample)));

    [Theory]
    [InlineData("\"sampleRate\": 48000", "\"sampleRate\": \"48 kHz\"")]
    [InlineData("\"polarity\": 1", "\"polarity\": 2")]
    [InlineData("\"channels\": [5]", "\"channels\": [0]")]
    [InlineData("\"radiusMm\": 14.7", "\"radiusMm\": 0")]
    [InlineData("\"version\": 1", "\"version\": 2")]
    public void WhatTheReaderRefusesTheSchemaRefusesToo(string right, string wrong)
    {
        var text = Samples.ContractExample.Replace(right, wrong, StringComparison.Ordinal);

        Assert.False(Conforms(System.Text.Encoding.UTF8.GetBytes(text)));
        Assert.Throws<UnusableInputException>(() => Samples.Parse(text));
    }

    [Fact]
    public void SchemaNamesExactlyTheMembersThatTheSerialiserWrites()
    {
        var written = new SortedSet<string>(StringComparer.Ordinal);
        Walk(JsonNode.Parse(SessionText.Format(Samples.Full()))!, written);
        var published = new SortedSet<string>(StringComparer.Ordinal);
        foreach (var member in JsonNode.Parse(SchemaText)!["properties"]!.AsObject())
            published.Add(member.Key);
        foreach (var definition in JsonNode.Parse(SchemaText)!["$defs"]!.AsObject())
            foreach (var member in definition.Value!["properties"]?.AsObject() ?? [])
                published.Add(member.Key);
        published.UnionWith(["temperatureC", "speedOfSound"]);

        Assert.Equal(published, written);
    }

    private static bool Conforms(byte[] text) => Schema.Evaluate(JsonDocument.Parse(text).RootElement).IsValid;

    private static void Walk(JsonNode node, SortedSet<string> names)
    {
        if (node is JsonArray list)
            foreach (var item in list)
                if (item is not null)
                    Walk(item, names);
        if (node is JsonObject members)
            foreach (var (name, value) in members)
            {
                names.Add(name);
                if (value is not null)
                    Walk(value, names);
            }
    }

    private static string ReadSchema()
    {
        using var stream = typeof(SessionDocument).Assembly.GetManifestResourceStream("session.schema.json")!;
        using var reader = new StreamReader(stream);
        return reader.ReadToEnd();
    }
}
