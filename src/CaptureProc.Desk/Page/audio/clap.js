// @ts-check
/** @import { ClapView, PartsView } from "../types.js" */
import { ask, askBytes } from "../api.js";

const leadSeconds = 0.15;
const lengthSeconds = 0.9;
const peakLevel = 0.5;

/** @type {AudioContext | null} */
let context = null;

/** Plays one clap of array and spot together, as recorded or lined up: two sounds, or one. @param {string[]} files @param {ClapView} clap @param {boolean} isAligned */
export async function hearClap(files, clap, isAligned) {
  context ??= new AudioContext({ sampleRate: clap.rateHz });
  await context.resume();
  const query = { rec: files, aligned: isAligned ? "1" : "0" };
  const parts = /** @type {PartsView} */ (await ask("/api/parts", query));
  const first = Math.max(0, Math.round((clap.seconds - leadSeconds) * clap.rateHz) + parts.heldBackFrames);
  const frames = Math.round(lengthSeconds * clap.rateHz);
  const bytes = await askBytes("/api/audio", { ...query, first, frames });
  const [array, spot] = [new Float32Array(bytes, 0, frames), new Float32Array(bytes, 4 * frames * channelOf(parts, clap.spot), frames)];
  const buffer = context.createBuffer(1, frames, clap.rateHz);
  const out = buffer.getChannelData(0);
  const [a, s] = [peakLevel / (peak(array) || 1), peakLevel / (peak(spot) || 1)];
  for (let n = 0; n < frames; n++) out[n] = a * (array[n] ?? 0) + s * (spot[n] ?? 0);
  const source = new AudioBufferSourceNode(context, { buffer });
  source.connect(context.destination);
  source.start();
  document.body.dataset.heard = isAligned ? "after" : "before";
}

/** @param {PartsView} parts @param {string} id */
function channelOf(parts, id) {
  let at = 0;
  for (const part of parts.parts) {
    if (part.id === id) return at;
    at += part.channels;
  }
  return 0;
}

/** @param {Float32Array} samples */
const peak = (samples) => samples.reduce((most, x) => Math.max(most, Math.abs(x)), 0);
