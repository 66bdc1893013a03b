// @ts-check
/**
 * What page and server tell each other. Units are in the names; channels count from 1.
 *
 * @typedef {{ samples: number, ms: number, uncertaintySamples: number, confidence: number, source: string | null }} SpotDelay
 * @typedef {{ azimuthDeg: number, elevationDeg: number, uncertaintyDeg: number | null }} SpotDirection
 * @typedef {{ id: string, channels: number[], arrayId?: string, delay: SpotDelay | null, polarity: number | null,
 *   direction: SpotDirection | null, distanceM: number | null, gainDb: number | null, note?: string }} Spot
 * @typedef {{ label: string, azimuthDeg: number, elevationDeg: number }} Capsule
 * @typedef {{ name: string, source: string | null, db: number[], uncertaintyDb: number[] | null, toleranceDb?: number }} TrimSet
 * @typedef {{ at: string, ok: boolean, order: string[] | null, polarity: number[] | null, confidence: number, problems: string[] }} PatchCheck
 * @typedef {{ yawDeg: number, pitchDeg: number, rollDeg: number }} Mount
 * @typedef {{ id: string, channels: number[], capsules: Capsule[], radiusMm: number, pattern: number, mount: Mount,
 *   trimSets: TrimSet[], activeTrim: string | null, patch?: PatchCheck }} CapsuleArray
 * @typedef {{ timeSeconds: number, spot: string | null, snrDb: number | null, directToReverberantDb: number | null }} Click
 * @typedef {{ file: string, sha256: string }} HistoryInput
 * @typedef {{ at: string, command: string, inputs: HistoryInput[] }} HistoryEntry
 * @typedef {{ reverberationSeconds: number | null, uncertaintySeconds: number | null, edtSeconds: number | null, c80Db: number | null, claps: number }} Room
 * @typedef {{ title: string | null, sampleRate: number, air: { temperatureC: number, speedOfSound: number }, arrays: CapsuleArray[], spots: Spot[],
 *   clicks: Click[], room?: Room, history: HistoryEntry[], modified: string }} Session
 * @typedef {{ file: string, channels: number, rateHz: number, seconds: number, tracks: (string | null)[], problem: string | null }} Recording
 * @typedef {{ name: string, description: string, radiusMm: number, pattern: number, capsules: string[], rollDeg: number }} Preset
 * @typedef {{ name: string, value?: string | null }} CommandOption
 * @typedef {{ command: string, inputs: string[], output?: string | null, options: CommandOption[] }} CommandOrder
 * @typedef {{ id: number, order: CommandOrder, doing: string, share: number, secondsLeft: number | null, isStopping: boolean,
 *   exitCode: number | null, seconds: number | null, result: any, said: string[] }} JobState
 * @typedef {{ folder: string, sessionFile: string | null, session: Session | null, problem: string | null, sessions: string[],
 *   recordings: Recording[], reports: string[], presets: Preset[], jobs: JobState[] }} DeskState
 * @typedef {{ spot: string, seconds: number, rateHz: number, delaySamples: number, beforeStartMs: number, arrayBefore: number[],
 *   spotBefore: number[], afterStartMs: number, arrayAfter: number[], spotAfter: number[] }} ClapView
 * @typedef {{ id: string | null, channels: number, gains: number[] }} TakePart
 * @typedef {{ rateHz: number, frames: number, heldBackFrames: number, order: number, parts: TakePart[], weighting: number[] }} PartsView
 * @typedef {{ centreHz: number[], channels: number[], deviationDb: (number | string)[][], trimDb: number[] }} SpectraView
 * @typedef {{ stepSeconds: number, momentaryLufs: (number | null)[], shortTermLufs: (number | null)[], integratedLufs: number | null,
 *   rangeLu: number | null, truePeakDbtp: number | null, channelTruePeakDbtp: number | null, rendering: string }} LoudnessView
 */
export {};
