// @ts-check
/** @import { Session } from "./types.js" */
import { colour, fixed } from "./dom.js";
import { tintOf } from "./tints.js";

/** The listener from above, front up, and the players around: what is left of the nose is heard on the left. @param {HTMLCanvasElement} canvas @param {number} yawDeg @param {number} pitchDeg @param {Session | null} session */
export function drawHead(canvas, yawDeg, pitchDeg, session) {
  const scale = Math.min(2, devicePixelRatio);
  const size = canvas.clientWidth;
  if (size === 0) return;
  canvas.width = canvas.height = Math.round(size * scale);
  const c = canvas.getContext("2d");
  if (!c) return;
  c.setTransform(scale, 0, 0, scale, 0, 0);
  const [middle, radius] = [size / 2, size / 2 - 18];
  c.strokeStyle = colour("rule");
  c.lineWidth = 1;
  for (const share of [1, 0.62]) {
    c.beginPath();
    c.arc(middle, middle, radius * share, 0, 2 * Math.PI);
    c.stroke();
  }
  c.font = `11px ${getComputedStyle(canvas).fontFamily}`;
  c.textAlign = "center";
  c.textBaseline = "middle";
  for (const spot of session?.spots ?? []) {
    if (!spot.direction) continue;
    const at = (spot.direction.azimuthDeg * Math.PI) / 180;
    const [x, y] = [middle - Math.sin(at) * radius, middle - Math.cos(at) * radius];
    c.fillStyle = tintOf(session, spot.id);
    c.beginPath();
    c.arc(x, y, 5, 0, 2 * Math.PI);
    c.fill();
    c.fillStyle = colour("ink");
    c.fillText(spot.id.slice(0, 9), x, y + (y > middle ? 12 : -11));
  }
  c.save();
  c.translate(middle, middle);
  c.rotate((-yawDeg * Math.PI) / 180);
  c.fillStyle = colour("accent");
  const r = radius * 0.3;
  c.beginPath();
  c.ellipse(0, 0, r * 0.82, r, 0, 0, 2 * Math.PI);
  c.moveTo(-r * 0.2, -r * 0.95);
  c.lineTo(0, -r * (1.22 + pitchDeg / 400));
  c.lineTo(r * 0.2, -r * 0.95);
  for (const ear of [-1, 1]) {
    c.moveTo(ear * r * 0.8, -r * 0.15);
    c.ellipse(ear * r * 0.86, 0, r * 0.12, r * 0.24, 0, 0, 2 * Math.PI);
  }
  c.fill();
  c.restore();
  c.fillStyle = colour("on-accent");
  c.fillText(`${fixed(Math.abs(yawDeg), 0)}°`, middle, middle);
}
