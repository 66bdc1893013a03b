namespace CaptureProc.Simulation.Faults;

/// <summary>Something that is wrong with the recording rather than with the room. Channels count from 1.</summary>
public abstract record ChannelFault;

/// <summary>Nothing but a whisper of hiss arrives: a cable or a supply is missing.</summary>
public sealed record DeadChannel(int Channel) : ChannelFault;

/// <summary>A cable with its two wires crossed.</summary>
public sealed record InvertedChannel(int Channel) : ChannelFault;

/// <summary>Two plugs in each other's sockets.</summary>
public sealed record SwappedChannels(int First, int Second) : ChannelFault;

/// <summary>An input that is turned up too far: everything above a limit is cut, all the time.</summary>
/// <param name="BelowPeakDb">The limit, below the largest peak of the channel.</param>
public sealed record ClippedChannel(int Channel, double BelowPeakDb) : ChannelFault;

/// <summary>A constant voltage.</summary>
/// <param name="BelowPeakDb">Below the largest peak of the channel.</param>
public sealed record ChannelOffset(int Channel, double BelowPeakDb) : ChannelFault;

/// <summary>The recorder or a digital line writes zeros for a while.</summary>
public sealed record Dropout(int Channel, double TimeSeconds, double Seconds) : ChannelFault;

/// <summary>A click of the mains or of the phantom supply: it comes into all channels at the same sample, as no sound can.</summary>
/// <param name="BelowPeakDb">Its peak, below the largest peak of each array's or spot's channel, give or take 3 dB from channel to channel.</param>
public sealed record CommonClick(double TimeSeconds, double BelowPeakDb) : ChannelFault;
