// @ts-check
/** @import { Desk } from "../desk.js" @import { Page } from "../app.js" @import { Session, Spot } from "../types.js" */
import { h, svg, fixed, signed } from "../dom.js";
import { tintOf } from "../tints.js";

const size = 560;
const usualDistanceM = 3;

/** @param {Desk} desk @returns {Page} */
export function open(desk) { return new StagePage(desk); }

class StagePage {
  /** @param {Desk} desk */
  constructor(desk) {
    this.desk = desk;
    this.above = h("figure", {});
    this.side = h("figure", {});
    this.rows = h("tbody", {});
    this.words = h("p", { class: "quiet" });
    this.element = h("div", { class: "page stage", "data-state": "opening" },
      h("section", { class: "card" }, h("div", { class: "stage-views" }, this.above, this.side), this.words),
      h("section", { class: "card" }, h("h2", {}, "Where the array hears them"), h("div", { class: "scroll", tabIndex: 0, role: "region", "aria-label": "Places" }, h("table", {},
        h("thead", {}, h("tr", {}, ["spot", "azimuth", "elevation", "uncertain by", "distance", "direct to hall"].map((t) => h("th", { scope: "col" }, t)))), this.rows))));
  }

  update() {
    const { session } = this.desk;
    if (session) this.#draw(session);
    this.element.dataset.state = "ready";
  }

  /** @param {Session} session */
  #draw(session) {
    const critical = criticalDistance(session);
    const reach = Math.max(1.5, critical ?? 0, ...session.spots.map((s) => s.distanceM ?? usualDistanceM)) * 1.22;
    this.above.replaceChildren(/** @type {any} */ (fromAbove(session, reach, critical)), h("figcaption", {}, "from above; the front is up"));
    this.side.replaceChildren(/** @type {any} */ (fromTheSide(session, reach)), h("figcaption", {}, "from the right; the front is on the right"));
    const missing = session.spots.filter((s) => !s.direction);
    this.words.textContent = [
      critical === null ? "" : `The critical distance, where hall and direct sound are equal in W, is about ${fixed(critical, 1)} m (dashed).`,
      missing.length > 0 ? `Not placed: ${missing.map((s) => s.id).join(", ")}.` : "",
    ].filter(Boolean).join(" ");
    this.rows.replaceChildren(...session.spots.map((s) => h("tr", { class: s.direction ? "" : "missing" }, h("th", { scope: "row" }, s.id),
      h("td", {}, s.direction ? `${signed(s.direction.azimuthDeg, 1)}°` : "not known"), h("td", {}, s.direction ? `${signed(s.direction.elevationDeg, 1)}°` : ""),
      h("td", {}, s.direction?.uncertaintyDeg != null ? `± ${fixed(s.direction.uncertaintyDeg, 1)}°` : ""), h("td", {}, s.distanceM === null ? "" : `${fixed(s.distanceM, 2)} m`),
      h("td", {}, ratioOf(session, s) === null ? "" : `${signed(ratioOf(session, s), 1)} dB`))));
  }
}

/** @param {Session} session @param {Spot} spot */
function ratioOf(session, spot) {
  return session.clicks.find((c) => c.spot === spot.id && c.directToReverberantDb !== null)?.directToReverberantDb ?? null;
}

/** r = d·10^(ratio/20), the middle one of all spots (Kuttruff, Room Acoustics: the direct sound falls by 6 dB a doubling). @param {Session} session */
function criticalDistance(session) {
  const all = session.spots.flatMap((s) => {
    const ratio = ratioOf(session, s);
    return s.distanceM === null || ratio === null ? [] : [s.distanceM * 10 ** (ratio / 20)];
  }).sort((a, b) => a - b);
  return all.length === 0 ? null : all[Math.floor(all.length / 2)] ?? null;
}

/** @param {Session} session @param {number} reachM @param {number | null} criticalM */
function fromAbove(session, reachM, criticalM) {
  const middle = size / 2;
  const scale = (middle - 12) / reachM;
  const picture = svg("svg", { viewBox: `0 0 ${size} ${size}`, class: "stage-picture", role: "img", "aria-label": "The stage from above, the array in the middle" });
  const step = reachM > 12 ? 5 : reachM > 5 ? 2 : 1;
  for (let m = step; m < reachM; m += step)
    picture.append(svg("circle", { cx: middle, cy: middle, r: m * scale, class: "ring" }), svg("text", { x: middle + 3, y: middle + m * scale - 4, class: "metre" }, `${m} m`));
  if (criticalM !== null) picture.append(svg("circle", { cx: middle, cy: middle, r: criticalM * scale, class: "critical" }));
  picture.append(svg("path", { d: `M${middle} ${middle - 15}l9 20h-18z`, class: "array-mark" }));
  for (const spot of session.spots) {
    if (!spot.direction) continue;
    const d = (spot.distanceM ?? usualDistanceM) * Math.cos((spot.direction.elevationDeg * Math.PI) / 180);
    const place = (/** @type {number} */ deg, /** @type {number} */ metres) => `${(middle - Math.sin((deg * Math.PI) / 180) * metres * scale).toFixed(1)} ${(middle - Math.cos((deg * Math.PI) / 180) * metres * scale).toFixed(1)}`;
    // Three deviations to either side; the distance is good to the 0.2 m by which spots stand nearer or farther from their players.
    const half = Math.min(60, 3 * (spot.direction.uncertaintyDeg ?? 0));
    const { azimuthDeg } = spot.direction;
    const tint = tintOf(session, spot.id);
    const [near, far] = [Math.max(0, d - 0.4), d + 0.4];
    picture.append(svg("path", { d: `M${place(azimuthDeg - half, near)}L${place(azimuthDeg - half, far)}L${place(azimuthDeg, far)}L${place(azimuthDeg + half, far)}L${place(azimuthDeg + half, near)}L${place(azimuthDeg, near)}Z`, fill: tint, "fill-opacity": 0.28 }));
    const [x = 0, y = 0] = place(azimuthDeg, d).split(" ").map(Number);
    picture.append(svg("line", { x1: middle, y1: middle, x2: x, y2: y, stroke: tint, "stroke-opacity": 0.35 }), svg("circle", { cx: x, cy: y, r: 6, fill: tint }),
      svg("text", { x, y: y + (y > middle ? 22 : -13), "text-anchor": x < 70 ? "start" : x > size - 70 ? "end" : "middle" }, spot.id));
  }
  return picture;
}

/** @param {Session} session @param {number} reachM */
function fromTheSide(session, reachM) {
  const [width, height] = [size, 240];
  const scale = (width / 2 - 12) / reachM;
  const picture = svg("svg", { viewBox: `0 0 ${width} ${height}`, class: "stage-picture", role: "img", "aria-label": "The stage from the right side" });
  const y0 = height / 2;
  picture.append(svg("line", { x1: 0, x2: width, y1: y0, y2: y0, class: "ring" }), svg("text", { x: 4, y: y0 - 5, class: "metre" }, "height of the array"), svg("circle", { cx: width / 2, cy: y0, r: 7, class: "array-mark" }));
  /** Names that would lie on one another go lower. @type {[number, number][]} */
  const named = [];
  for (const spot of session.spots) {
    if (!spot.direction) continue;
    const [a, e, d] = [(spot.direction.azimuthDeg * Math.PI) / 180, (spot.direction.elevationDeg * Math.PI) / 180, spot.distanceM ?? usualDistanceM];
    const x = width / 2 + d * Math.cos(e) * Math.cos(a) * scale;
    const y = Math.min(height - 8, Math.max(14, y0 - d * Math.sin(e) * scale));
    const half = d * Math.sin((3 * (spot.direction.uncertaintyDeg ?? 0) * Math.PI) / 180) * scale;
    const tint = tintOf(session, spot.id);
    let name = y + (y > y0 ? 18 : -10);
    while (named.some(([nx, ny]) => Math.abs(nx - x) < 62 && Math.abs(ny - name) < 13)) name += y > y0 ? 13 : -13;
    named.push([x, name]);
    picture.append(svg("line", { x1: x, x2: x, y1: y - half, y2: y + half, stroke: tint, "stroke-width": 8, "stroke-opacity": 0.28 }), svg("circle", { cx: x, cy: y, r: 5, fill: tint }),
      svg("text", { x, y: name, "text-anchor": x < 60 ? "start" : x > width - 60 ? "end" : "middle" }, spot.id));
  }
  return picture;
}
