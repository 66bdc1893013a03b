// @ts-check
import { svg, fixed } from "./dom.js";

/** @typedef {{ points: [number, number][], tint: string, dash?: string, width?: number }} Line */
/** @typedef {{ label: string, x: [number, number], y: [number, number], xTicks: [number, string][], yTicks: [number, string][], lines: Line[], isLogX?: boolean, band?: [number, number], marks?: { y: number, tint: string }[] }} Chart */

const [width, height, left, bottom, top, right] = [640, 240, 46, 24, 8, 20];

/** Lines over two axes, as a picture that scales and that a screen reader has a name for. @param {Chart} chart */
export function chart(chart) {
  const at = (/** @type {number} */ value, /** @type {[number, number]} */ [from, to], /** @type {boolean} */ isLog) =>
    isLog ? Math.log(value / from) / Math.log(to / from) : (value - from) / (to - from);
  const x = (/** @type {number} */ v) => left + at(v, chart.x, chart.isLogX ?? false) * (width - left - right);
  const y = (/** @type {number} */ v) => height - bottom - Math.min(1.2, Math.max(-0.2, at(v, chart.y, false))) * (height - bottom - top);
  const picture = svg("svg", { viewBox: `0 0 ${width} ${height}`, class: "chart", role: "img", "aria-label": chart.label });
  if (chart.band) picture.append(svg("rect", { x: left, width: width - left - right, y: y(chart.band[1]), height: Math.max(0, y(chart.band[0]) - y(chart.band[1])), class: "band" }));
  for (const [value, text] of chart.yTicks)
    picture.append(svg("line", { x1: left, x2: width - right, y1: y(value), y2: y(value), class: "grid" }), svg("text", { x: left - 6, y: y(value) + 4, "text-anchor": "end" }, text));
  for (const [value, text] of chart.xTicks)
    picture.append(svg("line", { x1: x(value), x2: x(value), y1: top, y2: height - bottom, class: "grid" }), svg("text", { x: x(value), y: height - 7, "text-anchor": "middle" }, text));
  for (const mark of chart.marks ?? []) picture.append(svg("line", { x1: left, x2: width - right, y1: y(mark.y), y2: y(mark.y), stroke: mark.tint, "stroke-dasharray": "5 4", "stroke-width": 1.5 }));
  for (const line of chart.lines) {
    const path = line.points.map(([px, py], i) => `${i === 0 ? "M" : "L"}${x(px).toFixed(1)} ${y(py).toFixed(1)}`).join("");
    if (path) picture.append(svg("path", { d: path, fill: "none", stroke: line.tint, "stroke-width": line.width ?? 1.8, "stroke-dasharray": line.dash, "stroke-linejoin": "round" }));
  }
  return picture;
}

/** Ticks at even steps. @param {number} from @param {number} to @param {number} step @param {number} digits @returns {[number, string][]} */
export const ticks = (from, to, step, digits) =>
  Array.from({ length: Math.floor((to - from) / step + 1e-9) + 1 }, (_, i) => [from + i * step, fixed(from + i * step, digits)]);

/** Octaves that people know. @type {[number, string][]} */
export const octaveTicks = [[63, "63"], [125, "125"], [250, "250"], [500, "500"], [1000, "1 k"], [2000, "2 k"], [4000, "4 k"], [8000, "8 k"], [16000, "16 k"]];
