namespace CaptureProc.Simulation.Scenes;

/// <summary>The ways in which a drawn scene may differ from an ideal one; each can be drawn alone.</summary>
[Flags]
public enum SceneParts : ulong
{
    None = 0,

    // The array.
    CapsuleGains = 1 << 0,
    CapsuleResponses = 1 << 1,
    CapsulePatterns = 1 << 2,
    CapsulePlaces = 1 << 3,
    CapsuleAxes = 1 << 4,
    ArrayBody = 1 << 5,

    // The spots.
    SpotPatterns = 1 << 6,
    SpotLowCuts = 1 << 7,
    SpotPresence = 1 << 8,
    SpotRollOffs = 1 << 9,
    SpotOffAxis = 1 << 10,
    ClipOns = 1 << 11,
    BoundaryPlaces = 1 << 12,
    Boards = 1 << 13,

    // What claps.
    RecordedClaps = 1 << 14,
    RingingSlates = 1 << 15,
    DirectionalTreble = 1 << 16,
    WideSources = 1 << 17,
    TwoPeople = 1 << 18,
    Bodies = 1 << 19,
    Moves = 1 << 20,

    // The room.
    UnlikeSurfaces = 1 << 21,
    ScatteringWalls = 1 << 22,
    StageFloor = 1 << 23,
    Audience = 1 << 24,
    Hum = 1 << 25,
    Ventilation = 1 << 26,
    Wind = 1 << 27,
    Footsteps = 1 << 28,
    Doors = 1 << 29,
    Coughs = 1 << 30,
    Chairs = 1UL << 31,
    Talk = 1UL << 32,
    Music = 1UL << 33,

    // What is wrong with the recording; CommonClicks and Offsets spoil nothing, the others spoil a channel.
    CommonClicks = 1UL << 34,
    Offsets = 1UL << 35,
    Dropouts = 1UL << 36,
    ClippedChannels = 1UL << 37,
    DeadChannels = 1UL << 38,
    InvertedChannels = 1UL << 39,
    SwappedChannels = 1UL << 40,

    Array = CapsuleGains | CapsuleResponses | CapsulePatterns | CapsulePlaces | CapsuleAxes | ArrayBody,
    Spots = SpotPatterns | SpotLowCuts | SpotPresence | SpotRollOffs | SpotOffAxis | ClipOns | BoundaryPlaces | Boards,
    Claps = RecordedClaps | RingingSlates | DirectionalTreble | WideSources | TwoPeople | Bodies | Moves,
    Room = UnlikeSurfaces | ScatteringWalls | StageFloor | Audience | Hum | Ventilation | Wind | Footsteps | Doors | Coughs | Chairs | Talk | Music,

    /// <summary>Microphones, claps and rooms as they are, and a recorder that works.</summary>
    Usual = Array | Spots | Claps | Room | CommonClicks | Offsets,

    /// <summary>What spoils a channel.</summary>
    Faults = Dropouts | ClippedChannels | DeadChannels | InvertedChannels | SwappedChannels,

    All = Usual | Faults,
}
