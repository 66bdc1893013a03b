// @ts-check
/** @import { Wave } from "./waves.js" */
import { WaveSource } from "./waves.js";
import { colour, clock } from "./dom.js";

/** @typedef {{ channel: number, name: string, tint: string }} Lane One line of the stave; channels count from 1. */
/** @typedef {{ seconds: number, lane: number, tint: string, label: string, isSelected: boolean, isMoved: boolean, arrival: { seconds: number, sigma: number } | null }} Mark */

const rulerPixels = 26;
const gutterPixels = 108;
const handlePixels = 9;
const wheelZoom = 0.0016;
const leastFrames = 24;

/** How much larger a lane can be drawn, dB. */
export const viewGains = [0, 6, 12, 18, 24, 30, 36, 42, 48];

/** All channels of a recording under one another, from the whole file down to single samples. Events: view, pick, drop, add, hover. */
export class Lanes extends EventTarget {
  /** @type {Lane[]} */ lanes = [];
  /** @type {Mark[]} */ marks = [];
  /** @type {number[]} Gain of each lane in dB, for the eye alone. */ gainsDb = [];
  first = 0;
  frames = 1;
  total = 1;
  rate = 48000;
  /** @type {Wave | null} */ #wave = null;
  /** @type {WaveSource | null} */ #source = null;
  #drawing = 0;
  #growing = 0;
  /** @type {{ mark: number, seconds: number, lane: number } | null} */ #dragged = null;
  /** @type {{ x: number, first: number } | null} */ #panned = null;
  #cursor = -1;
  #isFitted = false;
  #watch = new ResizeObserver(() => this.#refetch());

  /** @param {HTMLCanvasElement} canvas */
  constructor(canvas) {
    super();
    this.canvas = canvas;
    this.#watch.observe(canvas);
    canvas.addEventListener("wheel", (e) => this.#wheel(e), { passive: false });
    canvas.addEventListener("pointerdown", (e) => this.#down(e));
    canvas.addEventListener("pointermove", (e) => this.#move(e));
    canvas.addEventListener("pointerup", (e) => this.#up(e));
    canvas.addEventListener("pointerleave", () => { this.#cursor = -1; this.draw(); });
    canvas.addEventListener("dblclick", (e) => this.dispatchEvent(new CustomEvent("add", { detail: this.#place(e) })));
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.draw());
  }

  /** @param {string[]} files @param {number} frames @param {number} rate @param {(error: unknown) => void} fail */
  open(files, frames, rate, fail) {
    this.#source?.close();
    clearTimeout(this.#growing);
    this.#wave = null;
    this.#isFitted = false;
    [this.total, this.rate] = [Math.max(1, frames), rate];
    [this.first, this.frames] = [0, this.total];
    this.#source = files.length === 0 ? null : new WaveSource(files, (wave) => this.#take(wave), fail);
    this.#refetch();
  }

  close() {
    this.#source?.close();
    this.#watch.disconnect();
    clearTimeout(this.#growing);
    cancelAnimationFrame(this.#drawing);
  }

  /** @param {number} first @param {number} frames */
  look(first, frames) {
    this.frames = Math.min(this.total, Math.max(leastFrames, frames));
    this.first = Math.min(this.total - this.frames, Math.max(0, first));
    this.#refetch();
    this.dispatchEvent(new Event("view"));
  }

  /** Zooms about a place, 0 left to 1 right. @param {number} factor Over 1 sees more. @param {number} [about] */
  zoom(factor, about = 0.5) {
    const frames = Math.min(this.total, Math.max(leastFrames, this.frames * factor));
    this.look(this.first + (this.frames - frames) * about, frames);
  }

  /** @param {number} share Of the width. */
  pan(share) { this.look(this.first + share * this.frames, this.frames); }

  /** @param {number} seconds @param {number} [widthSeconds] */
  show(seconds, widthSeconds) {
    const frames = widthSeconds === undefined ? this.frames : widthSeconds * this.rate;
    this.look(seconds * this.rate - frames / 2, frames);
  }

  draw() {
    cancelAnimationFrame(this.#drawing);
    this.#drawing = requestAnimationFrame(() => this.#paint());
  }

  get width() { return Math.max(1, this.canvas.clientWidth - gutterPixels); }

  get laneHeight() { return (this.canvas.clientHeight - rulerPixels) / Math.max(1, this.lanes.length); }

  #refetch() {
    // Out of sight, or folded up while the window is resized.
    if (this.canvas.clientWidth <= gutterPixels) return;
    const columns = Math.round(this.width * Math.min(2, devicePixelRatio));
    this.#source?.ask(Math.floor(this.first), Math.ceil(this.frames), Math.max(1, columns));
    this.draw();
  }

  /** @param {Wave} wave */
  #take(wave) {
    this.#wave = wave;
    if (wave.share === 1 && !this.#isFitted) this.#fit(wave);
    this.draw();
    // While the file is still being looked through the picture grows.
    clearTimeout(this.#growing);
    if (wave.share < 1) this.#growing = setTimeout(() => this.#refetch(), 200);
    this.canvas.dataset.share = wave.share.toFixed(2);
    this.canvas.dataset.kind = wave.kind;
    this.canvas.dataset.first = String(wave.first);
  }

  /** Draws every lane as large as its loudest sample allows; offered once, when the whole file has been seen. @param {Wave} wave */
  #fit(wave) {
    this.#isFitted = true;
    this.lanes.forEach((lane, i) => {
      const peak = (wave.channels[lane.channel - 1] ?? new Float32Array()).reduce((most, x) => Math.max(most, Math.abs(x)), 1e-4);
      this.gainsDb[i] = viewGains.findLast((db) => peak * 10 ** (db / 20) <= 1.1) ?? 0;
    });
    this.dispatchEvent(new Event("gains"));
  }

  /** @param {number} seconds */
  #x(seconds) { return gutterPixels + ((seconds * this.rate - this.first) / this.frames) * this.width; }

  /** @param {MouseEvent} e */
  #place(e) {
    const x = e.offsetX - gutterPixels;
    const lane = Math.min(this.lanes.length - 1, Math.max(0, Math.floor((e.offsetY - rulerPixels) / this.laneHeight)));
    return { seconds: (this.first + (x / this.width) * this.frames) / this.rate, lane };
  }

  /** @param {MouseEvent} e */
  #markAt(e) {
    let [best, distance] = [-1, handlePixels + 1];
    this.marks.forEach((mark, i) => {
      const away = Math.abs(this.#x(mark.seconds) - e.offsetX) + (mark.lane === this.#place(e).lane || e.offsetY < rulerPixels ? 0 : 4);
      if (away < distance) [best, distance] = [i, away];
    });
    return best;
  }

  /** @param {WheelEvent} e */
  #wheel(e) {
    e.preventDefault();
    if (e.shiftKey || Math.abs(e.deltaX) > Math.abs(e.deltaY)) this.pan((e.deltaX || e.deltaY) / this.width);
    else this.zoom(Math.exp(e.deltaY * wheelZoom), Math.max(0, (e.offsetX - gutterPixels) / this.width));
  }

  /** @param {PointerEvent} e */
  #down(e) {
    if (e.button !== 0) return;
    this.canvas.focus();
    this.canvas.setPointerCapture(e.pointerId);
    const mark = this.#markAt(e);
    if (mark >= 0) {
      this.#dragged = { mark, ...this.#place(e) };
      const at = this.marks[mark];
      if (at) [this.#dragged.seconds, this.#dragged.lane] = [at.seconds, at.lane];
      this.dispatchEvent(new CustomEvent("pick", { detail: mark }));
    } else this.#panned = { x: e.offsetX, first: this.first };
  }

  /** @param {PointerEvent} e */
  #move(e) {
    this.#cursor = e.offsetX >= gutterPixels ? e.offsetX : -1;
    if (this.#dragged) {
      const to = this.#place(e);
      [this.#dragged.seconds, this.#dragged.lane] = [Math.min(this.total / this.rate, Math.max(0, to.seconds)), to.lane];
    } else if (this.#panned) this.look(this.#panned.first - ((e.offsetX - this.#panned.x) / this.width) * this.frames, this.frames);
    else this.canvas.style.cursor = this.#markAt(e) >= 0 ? "grab" : "default";
    this.draw();
  }

  /** @param {PointerEvent} e */
  #up(e) {
    const dragged = this.#dragged;
    [this.#dragged, this.#panned] = [null, null];
    this.canvas.releasePointerCapture(e.pointerId);
    const before = dragged ? this.marks[dragged.mark] : undefined;
    if (dragged && before && (Math.abs(this.#x(before.seconds) - this.#x(dragged.seconds)) >= 1 || before.lane !== dragged.lane))
      this.dispatchEvent(new CustomEvent("drop", { detail: dragged }));
    this.draw();
  }

  #paint() {
    const started = performance.now();
    const { canvas } = this;
    const scale = Math.min(2, devicePixelRatio);
    const [width, height] = [canvas.clientWidth, canvas.clientHeight];
    if (canvas.width !== Math.round(width * scale) || canvas.height !== Math.round(height * scale)) {
      canvas.width = Math.round(width * scale);
      canvas.height = Math.round(height * scale);
    }
    const c = canvas.getContext("2d");
    if (!c) return;
    const ink = { paper: colour("sheet"), line: colour("rule"), text: colour("ink"), quiet: colour("quiet"), accent: colour("accent") };
    c.setTransform(scale, 0, 0, scale, 0, 0);
    c.fillStyle = ink.paper;
    c.fillRect(0, 0, width, height);
    c.font = `12px ${getComputedStyle(canvas).fontFamily}`;
    this.#paintRuler(c, ink);
    this.lanes.forEach((lane, i) => this.#paintLane(c, lane, i, ink));
    this.#paintMarks(c, ink);
    if (this.#cursor >= 0 && !this.#dragged) {
      c.fillStyle = ink.quiet;
      c.fillRect(this.#cursor, rulerPixels, 1, height);
    }
    canvas.dataset.drawn = String(Math.round(this.first));
    canvas.dataset.paintMs = (performance.now() - started).toFixed(1);
  }

  /** @param {CanvasRenderingContext2D} c @param {Record<string, string>} ink */
  #paintRuler(c, ink) {
    const seconds = this.frames / this.rate;
    const step = niceStep((seconds * 90) / this.width);
    const digits = Math.max(0, Math.min(6, Math.ceil(-Math.log10(step) - 1e-9)));
    c.textBaseline = "middle";
    for (let n = Math.ceil(this.first / this.rate / step); n * step * this.rate <= this.first + this.frames; n++) {
      const x = this.#x(n * step);
      c.fillStyle = ink.line ?? "";
      c.fillRect(x, rulerPixels - 6, 1, this.canvas.clientHeight);
      c.fillStyle = ink.quiet ?? "";
      c.fillText(clock(n * step, digits), x + 4, rulerPixels / 2);
    }
  }

  /** @param {CanvasRenderingContext2D} c @param {Lane} lane @param {number} index @param {Record<string, string>} ink */
  #paintLane(c, lane, index, ink) {
    const height = this.laneHeight;
    const top = rulerPixels + index * height;
    const middle = top + height / 2;
    c.fillStyle = ink.line ?? "";
    c.fillRect(gutterPixels, middle, this.width, 1);
    const samples = this.#wave?.channels[lane.channel - 1];
    c.save();
    c.beginPath();
    c.rect(gutterPixels, top + 1, this.width, height - 2);
    c.clip();
    if (this.#wave && samples) {
      const up = (height / 2 - 2) * 10 ** ((this.gainsDb[index] ?? 0) / 20);
      c.fillStyle = c.strokeStyle = lane.tint;
      if (this.#wave.kind === "ranges") this.#paintRanges(c, this.#wave, samples, middle, up);
      else this.#paintSamples(c, this.#wave, samples, middle, up);
    }
    c.restore();
    c.fillStyle = ink.paper ?? "";
    c.fillRect(0, top, gutterPixels - 1, height);
    c.fillStyle = lane.tint;
    c.fillRect(gutterPixels - 5, top + 3, 3, height - 6);
    c.fillStyle = ink.text ?? "";
    c.textBaseline = "middle";
    c.fillText(fit(c, lane.name, gutterPixels - 34), 24, middle);
    c.fillStyle = ink.quiet ?? "";
    c.fillText(String(lane.channel), 4, middle);
  }

  /** @param {CanvasRenderingContext2D} c @param {Wave} wave @param {Float32Array} ranges @param {number} middle @param {number} up */
  #paintRanges(c, wave, ranges, middle, up) {
    const pixels = (wave.framesPerColumn / this.frames) * this.width;
    const start = gutterPixels + ((wave.first - this.first) / this.frames) * this.width;
    c.beginPath();
    for (let i = 0; i < wave.count; i++) {
      const high = Math.max(-1e5, middle - (ranges[2 * i + 1] ?? 0) * up);
      const low = Math.min(1e5, middle - (ranges[2 * i] ?? 0) * up);
      c.rect(start + i * pixels, high - 0.4, Math.max(0.6, pixels), low - high + 0.8);
    }
    c.fill();
  }

  /** @param {CanvasRenderingContext2D} c @param {Wave} wave @param {Float32Array} samples @param {number} middle @param {number} up */
  #paintSamples(c, wave, samples, middle, up) {
    const pixels = this.width / this.frames;
    c.lineWidth = 1.3;
    c.beginPath();
    for (let i = 0; i < samples.length; i++) {
      const x = gutterPixels + (wave.first + i - this.first) * pixels;
      c.lineTo(x, middle - (samples[i] ?? 0) * up);
    }
    c.stroke();
    if (pixels < 6) return;
    for (let i = 0; i < samples.length; i++) c.fillRect(gutterPixels + (wave.first + i - this.first) * pixels - 2, middle - (samples[i] ?? 0) * up - 2, 4, 4);
  }

  /** @param {CanvasRenderingContext2D} c @param {Record<string, string>} ink */
  #paintMarks(c, ink) {
    c.save();
    c.beginPath();
    c.rect(gutterPixels, 0, this.width, this.canvas.clientHeight);
    c.clip();
    this.marks.forEach((still, i) => {
      const dragged = this.#dragged?.mark === i ? this.#dragged : null;
      const mark = dragged ? { ...still, seconds: dragged.seconds, lane: dragged.lane, arrival: null } : still;
      const x = Math.round(this.#x(mark.seconds));
      const top = rulerPixels + Math.max(0, mark.lane) * this.laneHeight;
      const tint = mark.lane < 0 ? ink.quiet ?? "" : dragged ? this.lanes[mark.lane]?.tint ?? mark.tint : mark.tint;
      c.globalAlpha = mark.isSelected ? 1 : 0.55;
      c.fillStyle = tint;
      c.fillRect(x, rulerPixels, mark.isSelected ? 2 : 1, this.canvas.clientHeight);
      c.globalAlpha = 1;
      if (mark.arrival) this.#paintArrival(c, mark.arrival, ink);
      // The flag hangs in the lane of its owner, and is what one takes hold of.
      const label = dragged ? this.lanes[mark.lane]?.name ?? "" : mark.label;
      const wide = c.measureText(label).width + 12;
      c.fillStyle = tint;
      // It flies back in time, where the clap has not begun, unless there is no room.
      const way = x - wide < gutterPixels ? 1 : -1;
      c.beginPath();
      c.moveTo(x, top + 2);
      c.lineTo(x + way * wide, top + 2);
      c.lineTo(x + way * (wide - 4), top + 11);
      c.lineTo(x + way * wide, top + 20);
      c.lineTo(x, top + 20);
      c.closePath();
      c.fill();
      if (mark.isMoved || dragged) { c.strokeStyle = ink.text ?? ""; c.setLineDash([3, 2]); c.stroke(); c.setLineDash([]); }
      c.fillStyle = ink.paper ?? "";
      c.textBaseline = "middle";
      c.fillText(label, way > 0 ? x + 5 : x - wide + 7, top + 11.5);
    });
    c.restore();
  }

  /** When the array hears it, with three deviations to either side. @param {CanvasRenderingContext2D} c @param {{ seconds: number, sigma: number }} arrival @param {Record<string, string>} ink */
  #paintArrival(c, arrival, ink) {
    const arrays = this.lanes.filter((l) => l.tint === colour("array")).length;
    const [x, half] = [this.#x(arrival.seconds), (3 * arrival.sigma * this.rate / this.frames) * this.width];
    c.fillStyle = ink.accent ?? "";
    c.globalAlpha = 0.25;
    c.fillRect(x - half, rulerPixels, 2 * half, arrays * this.laneHeight);
    c.globalAlpha = 1;
    c.fillRect(x - 0.5, rulerPixels, 1, arrays * this.laneHeight);
    c.fillRect(x - 3, rulerPixels, 7, 2);
  }
}

/** 1, 2 or 5 times a power of ten, at least as large. @param {number} least */
function niceStep(least) {
  const power = 10 ** Math.floor(Math.log10(least));
  return (([1, 2, 5].find((n) => n * power >= least)) ?? 10) * power;
}

/** @param {CanvasRenderingContext2D} c @param {string} text @param {number} width */
function fit(c, text, width) {
  let short = text;
  while (short.length > 1 && c.measureText(short).width > width) short = `${short.slice(0, -2)}…`;
  return short;
}
