// @ts-check
import { askBytes } from "./api.js";

/** A stretch of a recording as it is drawn. @typedef {{ kind: "ranges" | "samples", first: number, framesPerColumn: number, count: number, share: number, channels: Float32Array[] }} Wave */

const headBytes = 32;

/** Ranges come as lows and highs by turns; one byte each, x = sign·(q/127)². @param {ArrayBuffer} buffer @returns {Wave} */
export function decode(buffer) {
  const head = new DataView(buffer);
  const isSamples = head.getInt32(0, true) === 1;
  const count = head.getInt32(4, true);
  const channels = [];
  if (isSamples) {
    for (let at = headBytes; at < buffer.byteLength; at += count * 4) channels.push(new Float32Array(buffer, at, count));
  } else {
    for (let at = headBytes; at < buffer.byteLength; at += count * 2) {
      const bytes = new Int8Array(buffer, at, count * 2);
      channels.push(Float32Array.from(bytes, (q) => Math.sign(q) * (q / 127) ** 2));
    }
  }
  return {
    kind: isSamples ? "samples" : "ranges", first: head.getFloat64(8, true), framesPerColumn: head.getFloat64(16, true), count,
    share: head.getFloat64(24, true), channels,
  };
}

/**
 * Fetches what is to be seen, one question at a time: while one is out, only the newest wish is kept.
 */
export class WaveSource {
  #busy = false;
  /** @type {(() => void) | null} */
  #next = null;
  #closed = new AbortController();

  /** @param {string[]} files @param {(wave: Wave) => void} take @param {(error: unknown) => void} fail */
  constructor(files, take, fail) {
    this.files = files;
    this.take = take;
    this.fail = fail;
  }

  /** @param {number} first @param {number} frames @param {number} columns */
  ask(first, frames, columns) {
    const go = () => void this.#fetch(first, frames, columns);
    if (this.#busy) this.#next = go;
    else go();
  }

  close() { this.#closed.abort(); }

  /** @param {number} first @param {number} frames @param {number} columns */
  async #fetch(first, frames, columns) {
    this.#busy = true;
    try {
      this.take(decode(await askBytes("/api/wave", { rec: this.files, first, frames, columns }, this.#closed.signal)));
    } catch (error) {
      this.fail(error);
    }
    this.#busy = false;
    const next = this.#next;
    this.#next = null;
    if (!this.#closed.signal.aborted) next?.();
  }
}
