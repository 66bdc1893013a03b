// @ts-check
/** @import { ClapView } from "./types.js" */
import { colour, fixed } from "./dom.js";

const halfKernel = 12;

/** A signal between its samples: a sinc under a raised cosine, for the eye. @param {number[]} samples @param {number} at */
function between(samples, at) {
  const whole = Math.floor(at);
  if (whole === at) return samples[whole] ?? 0;
  let sum = 0;
  for (let k = whole - halfKernel + 1; k <= whole + halfKernel; k++) {
    const t = at - k;
    sum += (samples[k] ?? 0) * (Math.sin(Math.PI * t) / (Math.PI * t)) * (0.5 + 0.5 * Math.cos((Math.PI * t) / halfKernel));
  }
  return sum;
}

/**
 * Array and spot on top of each other, both brought to the same height, around the arrival at the array.
 * @param {HTMLCanvasElement} canvas
 * @param {ClapView} clap
 * @param {"before" | "after"} side
 * @param {number} halfSamples How much is to be seen to either side.
 */
export function drawOverlay(canvas, clap, side, halfSamples) {
  const scale = Math.min(2, devicePixelRatio);
  const [width, height] = [canvas.clientWidth, canvas.clientHeight];
  canvas.width = Math.round(width * scale);
  canvas.height = Math.round(height * scale);
  const c = canvas.getContext("2d");
  if (!c) return;
  c.setTransform(scale, 0, 0, scale, 0, 0);
  const [array, spot, startMs] = side === "before" ? [clap.arrayBefore, clap.spotBefore, clap.beforeStartMs] : [clap.arrayAfter, clap.spotAfter, clap.afterStartMs];
  const zero = (-startMs / 1000) * clap.rateHz;
  const middle = height / 2 - 8;
  c.fillStyle = colour("rule");
  c.fillRect(0, middle, width, 1);
  c.font = `11px ${getComputedStyle(canvas).fontFamily}`;
  const step = [0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500].find((s) => (s / halfSamples) * (width / 2) > 44) ?? 1000;
  for (let n = Math.ceil(-halfSamples / step); n * step <= halfSamples; n++) {
    const x = width / 2 + ((n * step) / halfSamples) * (width / 2);
    c.fillStyle = colour("rule");
    c.fillRect(x, 0, 1, height - 16);
    c.fillStyle = colour("quiet");
    c.fillText(fixed(n * step, step < 1 ? 1 : 0), x + 3, height - 4);
  }
  const arrayPeak = peakOf(clap.arrayAfter);
  const spotPeak = peakOf(clap.spotAfter);
  for (const [samples, tint, peak] of /** @type {[number[], string, number][]} */ ([[array, "array", arrayPeak], [spot, "accent", spotPeak]])) {
    c.strokeStyle = colour(tint);
    c.lineWidth = 1.6;
    c.beginPath();
    const steps = Math.max(width, 2 * halfSamples);
    for (let i = 0; i <= steps; i++) {
      const offset = (i / steps - 0.5) * 2 * halfSamples;
      const y = middle - (between(samples, zero + offset) / (peak || 1)) * (middle - 6);
      c.lineTo((i / steps) * width, y);
    }
    c.stroke();
  }
}

/** @param {number[]} samples */
const peakOf = (samples) => samples.reduce((peak, x) => Math.max(peak, Math.abs(x)), 0);
