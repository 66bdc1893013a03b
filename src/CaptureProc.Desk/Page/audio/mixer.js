// @ts-check
/**
 * The mix as it is heard, on the audio thread: parts of a take from one ring for both sides, faders, placement, the turn of the head.
 * Both sides run on the same frame, so a switch changes what is heard and not when. It takes 128 frames, so that it does not click.
 * Nothing is allocated while it runs but the short messages that tell where it is.
 *
 * @typedef {{ start: number, channels: number, gains: number[] }} MixPart Where its channels begin among those of a chunk; gains into the field, output-major.
 * @typedef {{ fieldChannels: number, partChannels: number, parts: MixPart[], weighting: number[], gains: [number[], number[]], turn: Float32Array,
 *   isMatched: boolean, isPlaying: boolean, side: 0 | 1, chunks: [number, number, Float32Array][] }} MixerOptions
 */

const quantum = 128;
/** Frames of a chunk: whole quanta, about half a second. */
export const chunkFrames = quantum * 192;
const keptBehind = 2;
const tellEvery = 16;
// Before it is louder than this in the mean, −70 dBFS, a side has told nothing about its level.
const leastPower = 1e-7;

/* These names exist in an AudioWorkletGlobalScope only. */
const scope = /** @type {{ AudioWorkletProcessor?: new () => { port: MessagePort }, registerProcessor?: (name: string, maker: unknown) => void }} */ (/** @type {unknown} */ (globalThis));

if (scope.AudioWorkletProcessor && scope.registerProcessor) {
  const Base = scope.AudioWorkletProcessor;
  class Mixer extends Base {
    /** @param {{ processorOptions: MixerOptions }} options */
    constructor({ processorOptions: o }) {
      super();
      this.options = o;
      /** @type {[Map<number, Float32Array>, Map<number, Float32Array>]} */
      this.rings = [new Map(), new Map()];
      for (const [side, index, data] of o.chunks) this.rings[side === 1 ? 1 : 0].set(index, data);
      this.frame = 0;
      this.isPlaying = o.isPlaying;
      this.side = o.side;
      this.share = o.side;
      this.isMatched = o.isMatched;
      this.parts = o.parts;
      this.wanted = o.gains;
      this.gains = [Float32Array.from(o.gains[0]), Float32Array.from(o.gains[1])];
      this.turn = Float32Array.from(o.turn);
      this.turnTo = Float32Array.from(o.turn);
      this.field = Array.from({ length: o.fieldChannels }, () => new Float32Array(quantum));
      this.w = new Float32Array(quantum);
      this.filters = [new Float64Array(4), new Float64Array(4)];
      this.energy = [0, 0];
      this.heard = 0;
      this.match = Float32Array.of(1, 1);
      this.underruns = 0;
      this.told = 0;
      this.port.onmessage = (e) => this.take(/** @type {any} */ (e.data));
    }

    /** @param {any} m */
    take(m) {
      if (m.type === "chunk") this.rings[m.side === 1 ? 1 : 0].set(m.index, m.data);
      else if (m.type === "turn") this.turnTo.set(m.matrix);
      else if (m.type === "side") this.side = m.side;
      else if (m.type === "gains") { this.wanted = m.gains; this.forget(); }
      else if (m.type === "drop") { this.rings[m.side === 1 ? 1 : 0].clear(); this.forget(); }
      else if (m.type === "play") this.isPlaying = m.isPlaying;
      else if (m.type === "match") { this.isMatched = m.isMatched; this.forget(); }
      else if (m.type === "seek") { this.frame = m.frame - (m.frame % quantum); this.rings[0].clear(); this.rings[1].clear(); }
    }

    forget() {
      this.energy[0] = this.energy[1] = this.heard = 0;
    }

    /** @param {Float32Array[][]} _ @param {Float32Array[][]} outputs */
    process(_, outputs) {
      const out = outputs[0];
      if (!out) return true;
      this.tell();
      if (!this.isPlaying) return true;
      const index = Math.floor(this.frame / chunkFrames);
      const [a, b] = [this.rings[0].get(index), this.rings[1].get(index)];
      if (!a || !b) { this.underruns++; return true; }
      const offset = this.frame - index * chunkFrames;
      for (const row of this.field) row.fill(0);
      this.weigh(a, offset, 0);
      this.weigh(b, offset, 1);
      this.level();
      const from = this.share;
      this.share = this.side;
      if (from < 1 || this.side < 1) this.add(a, offset, 0, 1 - from, 1 - this.side);
      if (from > 0 || this.side > 0) this.add(b, offset, 1, from, this.side);
      this.rotate(out);
      this.frame += quantum;
      this.heard += quantum;
      if (offset + quantum >= chunkFrames) for (const ring of this.rings) ring.delete(index - keptBehind);
      return true;
    }

    /** Adds one side to the field, its faders gliding to where they were set. @param {Float32Array} data @param {number} offset @param {0 | 1} side @param {number} from @param {number} to */
    add(data, offset, side, from, to) {
      const gains = this.gains[side];
      const match = this.match[side] ?? 1;
      if (!gains) return;
      for (let p = 0; p < this.parts.length; p++) {
        const part = this.parts[p];
        if (!part) continue;
        const start = match * from * (gains[p] ?? 0);
        gains[p] = this.wanted[side]?.[p] ?? 0;
        const step = (match * to * (gains[p] ?? 0) - start) / quantum;
        if (start === 0 && step === 0) continue;
        for (let c = 0; c < part.channels; c++) {
          const base = (part.start + c) * chunkFrames + offset;
          for (let f = 0; f < this.field.length; f++) {
            const place = part.gains[f * part.channels + c] ?? 0;
            const row = this.field[f];
            if (place === 0 || !row) continue;
            for (let n = 0; n < quantum; n++) row[n] = (row[n] ?? 0) + place * (start + step * (n + 1)) * (data[base + n] ?? 0);
          }
        }
      }
    }

    /** K-weighted energy of W of one side (ITU-R BS.1770): what “the same level” means. @param {Float32Array} data @param {number} offset @param {0 | 1} side */
    weigh(data, offset, side) {
      const w = this.w.fill(0);
      for (let p = 0; p < this.parts.length; p++) {
        const part = this.parts[p];
        const gain = this.wanted[side]?.[p] ?? 0;
        if (!part || gain === 0) continue;
        for (let c = 0; c < part.channels; c++) {
          const place = gain * (part.gains[c] ?? 0);
          if (place === 0) continue;
          const base = (part.start + c) * chunkFrames + offset;
          for (let n = 0; n < quantum; n++) w[n] = (w[n] ?? 0) + place * (data[base + n] ?? 0);
        }
      }
      const [s0 = 0, s1 = 0, s2 = 0, sa1 = 0, sa2 = 0, h0 = 0, h1 = 0, h2 = 0, ha1 = 0, ha2 = 0] = this.options.weighting;
      const state = this.filters[side] ?? new Float64Array(4);
      let [x1 = 0, x2 = 0, y1 = 0, y2 = 0] = state;
      let sum = 0;
      for (let n = 0; n < quantum; n++) {
        const x = w[n] ?? 0;
        const mid = s0 * x + x1;
        x1 = s1 * x - sa1 * mid + x2;
        x2 = s2 * x - sa2 * mid;
        const y = h0 * mid + y1;
        y1 = h1 * mid - ha1 * y + y2;
        y2 = h2 * mid - ha2 * y;
        sum += y * y;
      }
      state[0] = x1; state[1] = x2; state[2] = y1; state[3] = y2;
      this.energy[side] = (this.energy[side] ?? 0) + sum;
    }

    /** Brings the louder side down to the softer one, by what both have been since something was changed. */
    level() {
      const [a = 0, b = 0] = this.energy;
      const isKnown = this.isMatched && this.heard > 0 && Math.min(a, b) / (this.heard + quantum) > leastPower;
      const toA = isKnown ? Math.min(1, Math.sqrt(b / a)) : 1;
      const toB = isKnown ? Math.min(1, Math.sqrt(a / b)) : 1;
      // A tenth of a second to come to rest.
      const pace = 0.03;
      this.match[0] = (this.match[0] ?? 1) + pace * (toA - (this.match[0] ?? 1));
      this.match[1] = (this.match[1] ?? 1) + pace * (toB - (this.match[1] ?? 1));
    }

    /** @param {Float32Array[]} out */
    rotate(out) {
      const channels = this.field.length;
      for (let o = 0; o < channels; o++) {
        const to = out[o];
        if (!to) continue;
        for (let i = 0; i < channels; i++) {
          const at = o * channels + i;
          const start = this.turn[at] ?? 0;
          const step = ((this.turnTo[at] ?? 0) - start) / quantum;
          const row = this.field[i];
          if (!row || (start === 0 && step === 0)) continue;
          for (let n = 0; n < quantum; n++) to[n] = (to[n] ?? 0) + (start + step * (n + 1)) * (row[n] ?? 0);
        }
      }
      this.turn.set(this.turnTo);
    }

    tell() {
      if (this.told++ % tellEvery !== 0) return;
      this.port.postMessage({ frame: this.frame, underruns: this.underruns, match: [this.match[0], this.match[1]] });
    }
  }
  scope.registerProcessor("field-mixer", Mixer);
}
