// @ts-check
/** @import { CapsuleArray } from "./types.js" */
import { svg } from "./dom.js";
import { rotation } from "./audio/turn.js";

/** @typedef {{ text: string, mood: "" | "good" | "look" }} Seat */

/**
 * The array as one sees it from the front left and a little above, as it hangs or stands: four capsules on their tetrahedron.
 * @param {CapsuleArray} array @param {Seat[]} seats One a capsule.
 */
export function arrayPicture(array, seats) {
  const turn = rotation(array.mount.yawDeg, array.mount.pitchDeg, array.mount.rollDeg);
  const view = rotation(0, -18, 0);
  /** @param {[number, number, number]} v @param {[[number, number, number], [number, number, number], [number, number, number]]} rows @returns {[number, number, number]} */
  const apply = (v, rows) => /** @type {[number, number, number]} */ (rows.map((r) => r[0] * v[0] + r[1] * v[1] + r[2] * v[2]));
  const eye = (/** @type {[number, number, number]} */ v) => {
    // The viewer stands in front, a little to the array's left, so its left is seen on the right.
    const [c, s] = [Math.cos(0.45), Math.sin(0.45)];
    const [x, y, z] = apply([v[0] * c + v[1] * s, -v[0] * s + v[1] * c, v[2]], view);
    return { x: 160 + y * 92, y: 132 - z * 92, depth: x };
  };
  const points = array.capsules.map((capsule) => {
    const [a, e] = [(capsule.azimuthDeg * Math.PI) / 180, (capsule.elevationDeg * Math.PI) / 180];
    return eye(apply([Math.cos(e) * Math.cos(a), Math.cos(e) * Math.sin(a), Math.sin(e)], turn));
  });
  const base = eye(apply([0, 0, -1], turn));
  const stem = eye(apply([0, 0, -1.35], turn));
  const front = [eye([0, 0, 0]), eye([2.1, 0, 0])];
  const name = array.mount.rollDeg % 360 === 180 || Math.abs(array.mount.pitchDeg) === 180 ? "hanging head down" : "standing";
  const picture = svg("svg", { viewBox: "0 0 320 270", class: "array-picture", role: "img", "aria-label": `Array ${array.id}, ${name}: ${array.capsules.map((c, i) => `${c.label} ${seats[i]?.text ?? ""}`).join(", ")}` });
  picture.append(svg("line", { x1: base.x, y1: base.y, x2: stem.x, y2: stem.y, class: "stem" }));
  if (front[0] && front[1]) picture.append(svg("line", { x1: front[0].x, y1: front[0].y, x2: front[1].x, y2: front[1].y, class: "front" }), svg("text", { x: front[1].x, y: front[1].y + 14, "text-anchor": "middle" }, "front"));
  points.forEach((p, i) => points.slice(i + 1).forEach((q) => picture.append(svg("line", { x1: p.x, y1: p.y, x2: q.x, y2: q.y, class: "edge" }))));
  [...points.keys()].sort((a, b) => (points[a]?.depth ?? 0) - (points[b]?.depth ?? 0)).forEach((i) => {
    const [p, seat] = [points[i], seats[i]];
    if (!p || !seat) return;
    picture.append(svg("circle", { cx: p.x, cy: p.y, r: 19 + 3 * p.depth, class: `capsule ${seat.mood}` }), svg("text", { x: p.x, y: p.y + 6, "text-anchor": "middle", class: `seat ${seat.mood}` }, seat.text),
      svg("text", { x: p.x, y: p.y - 28, "text-anchor": "middle" }, array.capsules[i]?.label ?? ""));
  });
  return picture;
}
