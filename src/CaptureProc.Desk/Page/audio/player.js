// @ts-check
/** @import { PartsView } from "../types.js" @import { MixerOptions, MixPart } from "./mixer.js" */
import { ask, askBytes } from "../api.js";
import { listenerTurn } from "./turn.js";
import { chunkFrames } from "./mixer.js";

/** What one side of the comparison is made of. @typedef {{ trim: string | null, correction: string, later: number, aligned: boolean }} Side */

const ahead = 6;

/** @param {string[]} files @param {Side} side @param {number} order */
const query = (files, side, order) => ({ rec: files, trim: side.trim, correction: side.correction, later: side.later, aligned: side.aligned ? "1" : "0", order });

/** @param {PartsView} view @returns {MixPart[]} */
function partsOf(view) {
  let start = 0;
  return view.parts.map((part) => {
    const own = { start, channels: part.channels, gains: part.gains };
    start += part.channels;
    return own;
  });
}

/**
 * From the mixer through the head to the ears: one convolver a channel, with the project's own head.
 * @param {BaseAudioContext} context @param {PartsView} view @param {Partial<MixerOptions>} options
 */
export async function wire(context, view, options) {
  await context.audioWorklet.addModule("/page/audio/mixer.js");
  const fieldChannels = (view.order + 1) ** 2;
  const parts = partsOf(view);
  /** @type {MixerOptions} */
  const processorOptions = {
    fieldChannels, parts, partChannels: parts.reduce((n, p) => n + p.channels, 0), weighting: view.weighting,
    gains: [parts.map(() => 1), parts.map(() => 1)], turn: listenerTurn(view.order, 0, 0, 0), isMatched: false, isPlaying: false, side: 0, chunks: [], ...options,
  };
  const mixer = new AudioWorkletNode(context, "field-mixer", { numberOfInputs: 0, numberOfOutputs: 1, outputChannelCount: [fieldChannels], processorOptions });
  const taps = new Float32Array(await askBytes("/api/head", { order: view.order, rate: view.rateHz }));
  const length = taps.length / (2 * fieldChannels);
  const splitter = new ChannelSplitterNode(context, { numberOfOutputs: fieldChannels });
  const volume = new GainNode(context, { gain: 1 });
  mixer.connect(splitter);
  for (let channel = 0; channel < fieldChannels; channel++) {
    const buffer = context.createBuffer(2, length, view.rateHz);
    for (let ear = 0; ear < 2; ear++) buffer.copyToChannel(taps.slice((ear * fieldChannels + channel) * length, (ear * fieldChannels + channel + 1) * length), ear);
    const convolver = new ConvolverNode(context, { disableNormalization: true });
    convolver.buffer = buffer;
    splitter.connect(convolver, channel);
    convolver.connect(volume);
  }
  volume.connect(context.destination);
  return { mixer, volume, fieldChannels };
}

/** Plays a take two ways at once and lets either be heard. Events: moved. */
export class Player extends EventTarget {
  frame = 0;
  underruns = 0;
  /** @type {number[]} */ match = [1, 1];
  isPlaying = false;
  /** @type {PartsView | null} */ view = null;
  /** @type {AudioContext | null} */ #context = null;
  /** @type {AudioWorkletNode | null} */ #mixer = null;
  /** @type {GainNode | null} */ #volume = null;
  /** @type {[Side, Side] | null} */ #sides = null;
  /** @type {string[]} */ #files = [];
  #wanted = new Set();
  #turn = 0;
  #closed = new AbortController();
  #filling = false;

  /** @param {(error: unknown) => void} fail */
  constructor(fail) { super(); this.fail = fail; }

  /** @param {string[]} files @param {[Side, Side]} sides @param {number} order */
  async open(files, sides, order) {
    this.view = /** @type {PartsView} */ (await ask("/api/parts", query(files, sides[0], order)));
    [this.#files, this.#sides] = [files, sides];
    return this.view;
  }

  /** A browser lets sound begin only after somebody has touched the page. @param {[number[], number[]]} gains @param {0 | 1} side @param {Float32Array} turn @param {boolean} isMatched */
  async start(gains, side, turn, isMatched) {
    if (!this.view || this.#context) return;
    this.#context = new AudioContext({ sampleRate: this.view.rateHz, latencyHint: "interactive" });
    const { mixer, volume } = await wire(this.#context, this.view, { gains, side, turn, isMatched });
    [this.#mixer, this.#volume] = [mixer, volume];
    mixer.port.onmessage = (e) => {
      const told = /** @type {{ frame: number, underruns: number, match: number[] }} */ (e.data);
      this.frame = told.frame;
      this.match = told.match;
      // What is missing while the first chunks are on their way is no fault of the audio thread.
      if (this.isPlaying && told.underruns > this.underruns && this.#isFilled) this.dispatchEvent(new Event("starved"));
      this.underruns = told.underruns;
      if (this.view && this.frame >= this.view.frames) this.play(false);
      void this.#fill();
      this.dispatchEvent(new Event("moved"));
    };
    await this.#fill();
  }

  get isStarted() { return this.#mixer !== null; }

  /** Seconds from a turn of the head to the ears, as the browser states them. */
  get latencySeconds() { return this.#context ? this.#context.baseLatency + (this.#context.outputLatency || 0) : 0; }

  /** @param {boolean} isPlaying */
  play(isPlaying) {
    this.isPlaying = isPlaying;
    void this.#context?.resume();
    this.#send({ type: "play", isPlaying });
    this.dispatchEvent(new Event("moved"));
  }

  /** @param {number} frame */
  seek(frame) {
    this.frame = Math.max(0, Math.floor(frame));
    this.#send({ type: "seek", frame: this.frame });
    this.#forget();
  }

  /** @param {0 | 1} side */
  hear(side) { this.#send({ type: "side", side }); }

  /** @param {[number[], number[]]} gains */
  gains(gains) { this.#send({ type: "gains", gains }); }

  /** @param {boolean} isMatched */
  level(isMatched) { this.#send({ type: "match", isMatched }); }

  /** @param {Float32Array} matrix */
  turn(matrix) { this.#send({ type: "turn", matrix }); }

  /** @param {number} db */
  volume(db) { if (this.#volume && this.#context) this.#volume.gain.setTargetAtTime(10 ** (db / 20), this.#context.currentTime, 0.02); }

  /** @param {[Side, Side]} sides */
  change(sides) {
    const before = this.#sides;
    this.#sides = sides;
    ([0, 1]).forEach((i) => {
      if (before && JSON.stringify(before[i === 1 ? 1 : 0]) === JSON.stringify(sides[i === 1 ? 1 : 0])) return;
      this.#send({ type: "drop", side: i });
      this.#forget();
    });
  }

  async close() {
    this.#closed.abort();
    await this.#context?.close();
  }

  /** @param {unknown} message @param {Transferable[]} [transfer] */
  #send(message, transfer = []) { this.#mixer?.port.postMessage(message, transfer); }

  #forget() {
    this.#wanted.clear();
    this.#turn++;
    void this.#fill();
  }

  get #isFilled() { return this.#wanted.size >= 2 * ahead; }

  /** Asks for what is to be heard soon, nearest first, for both sides. */
  async #fill() {
    if (this.#filling || !this.view || !this.#sides || !this.#mixer) return;
    this.#filling = true;
    try {
      for (let more = true; more;) {
        more = false;
        const now = Math.floor(this.frame / chunkFrames);
        const last = Math.min(now + ahead, Math.floor(this.view.frames / chunkFrames));
        for (let index = now; index <= last && !more; index++)
          for (const side of /** @type {(0 | 1)[]} */ ([0, 1]))
            if (!this.#wanted.has(`${side}:${index}`)) { await this.#fetch(side, index); more = true; }
      }
    } catch (error) {
      this.fail(error);
    } finally {
      this.#filling = false;
    }
  }

  /** @param {0 | 1} side @param {number} index */
  async #fetch(side, index) {
    const [sides, turn, view] = [this.#sides, this.#turn, this.view];
    if (!sides || !view) return;
    const isSame = JSON.stringify(sides[0]) === JSON.stringify(sides[1]);
    const data = new Float32Array(await askBytes("/api/audio", { ...query(this.#files, sides[side], view.order), first: index * chunkFrames, frames: chunkFrames }, this.#closed.signal));
    if (turn !== this.#turn) return;
    const other = side === 0 ? 1 : 0;
    if (isSame && !this.#wanted.has(`${other}:${index}`)) {
      const copy = data.slice();
      this.#wanted.add(`${other}:${index}`);
      this.#send({ type: "chunk", side: other, index, data: copy }, [copy.buffer]);
    }
    this.#wanted.add(`${side}:${index}`);
    this.#send({ type: "chunk", side, index, data }, [data.buffer]);
  }
}

/**
 * The same path without a sound card: what the ears would get.
 * @param {string[]} files @param {Side} side @param {number} order @param {number[]} gains @param {[number, number, number]} turnDeg @param {number} chunks
 */
export async function renderOffline(files, side, order, gains, turnDeg, chunks) {
  const view = /** @type {PartsView} */ (await ask("/api/parts", query(files, side, order)));
  const context = new OfflineAudioContext(2, chunks * chunkFrames, view.rateHz);
  /** @type {[number, number, Float32Array][]} */
  const ring = [];
  for (let index = 0; index < chunks; index++) {
    const data = new Float32Array(await askBytes("/api/audio", { ...query(files, side, order), first: index * chunkFrames, frames: chunkFrames }));
    ring.push([0, index, data], [1, index, data]);
  }
  await wire(context, view, { gains: [gains, gains], turn: listenerTurn(order, ...turnDeg), isPlaying: true, chunks: ring });
  const out = await context.startRendering();
  return [Array.from(out.getChannelData(0)), Array.from(out.getChannelData(1))];
}
