namespace CaptureProc.Vst3.Hosting;

/// <summary>A plug-in cannot be loaded or does not do what a plug-in has to; the message is one line for the user.</summary>
public sealed class PluginException(string message) : Exception(message);
