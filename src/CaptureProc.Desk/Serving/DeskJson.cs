using System.Text.Json;
using System.Text.Json.Serialization;
using CaptureProc.DeskServer.Jobs;
using CaptureProc.DeskServer.Views;

namespace CaptureProc.DeskServer.Serving;

/// <summary>The serialiser of what page and server tell each other, generated at compile time.</summary>
[JsonSourceGenerationOptions(JsonSerializerDefaults.Web, NumberHandling = JsonNumberHandling.AllowNamedFloatingPointLiterals)]
[JsonSerializable(typeof(CommandOrder))]
[JsonSerializable(typeof(JobEvent))]
[JsonSerializable(typeof(IReadOnlyList<JobState>))]
[JsonSerializable(typeof(DeskState))]
[JsonSerializable(typeof(SessionChoice))]
[JsonSerializable(typeof(Refusal))]
[JsonSerializable(typeof(ClapView))]
[JsonSerializable(typeof(PartsView))]
[JsonSerializable(typeof(SpectraView))]
[JsonSerializable(typeof(LoudnessView))]
internal sealed partial class DeskJson : JsonSerializerContext
{
    /// <summary>On one line, as events have to be.</summary>
    public static DeskJson Compact => Default;
}

/// <summary>Why something could not be done, in one line.</summary>
internal sealed record Refusal(string Code, string Message);

/// <summary>Which session is to lie on the desk.</summary>
internal sealed record SessionChoice(string File);
