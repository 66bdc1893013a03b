// @ts-check
/**
 * The matrix that turns a field (ACN, SN3D, first and second order), as FieldRotation makes it: the turned harmonics
 * projected on the plain ones by an exact quadrature. Yaw turns to the left, pitch turns the front up, roll lifts the left side;
 * roll happens first, then pitch, then yaw.
 */

const inner = 0.3399810435848563;
const outer = 0.8611363115940526;
const innerWeight = 0.6521451548625462;
const outerWeight = 0.34785484513745385;
const meridians = 8;
const root3 = Math.sqrt(3);

/** @typedef {[number, number, number]} Vector */

/** @param {Vector} u @param {number} order */
function harmonics([x, y, z], order) {
  const values = [1, y, z, x];
  if (order > 1) values.push(root3 * x * y, root3 * y * z, (3 * z * z - 1) / 2, root3 * x * z, (root3 / 2) * (x * x - y * y));
  return values;
}

/** Rows of the turn as a matrix of space. @param {number} yawDeg @param {number} pitchDeg @param {number} rollDeg @returns {[Vector, Vector, Vector]} */
export function rotation(yawDeg, pitchDeg, rollDeg) {
  const [y, p, r] = [yawDeg, pitchDeg, rollDeg].map((deg) => (deg * Math.PI) / 180);
  const [sy, cy, sp, cp, sr, cr] = [Math.sin(y ?? 0), Math.cos(y ?? 0), Math.sin(p ?? 0), Math.cos(p ?? 0), Math.sin(r ?? 0), Math.cos(r ?? 0)];
  return [
    [cy * cp, -cy * sp * sr - sy * cr, -cy * sp * cr + sy * sr],
    [sy * cp, -sy * sp * sr + cy * cr, -sy * sp * cr - cy * sr],
    [sp, cp * sr, cp * cr],
  ];
}

/** @param {Vector} a @param {Vector} b */
const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

/** What a listener hears who has turned: the field turned the other way. Row-major. @param {number} order @param {number} yawDeg @param {number} pitchDeg @param {number} rollDeg */
export function listenerTurn(order, yawDeg, pitchDeg, rollDeg) {
  const [a, b, c] = rotation(yawDeg, pitchDeg, rollDeg);
  /** @type {[Vector, Vector, Vector]} */
  const inverse = [[a[0], b[0], c[0]], [a[1], b[1], c[1]], [a[2], b[2], c[2]]];
  const channels = (order + 1) ** 2;
  const matrix = new Float32Array(channels * channels);
  for (let latitude = 0; latitude < 4; latitude++) {
    const isOuter = latitude === 0 || latitude === 3;
    const z = (latitude < 2 ? -1 : 1) * (isOuter ? outer : inner);
    const weight = (isOuter ? outerWeight : innerWeight) / (2 * meridians);
    const ring = Math.sqrt(1 - z * z);
    for (let meridian = 0; meridian < meridians; meridian++) {
      const angle = (2 * Math.PI * meridian) / meridians;
      /** @type {Vector} */
      const u = [ring * Math.cos(angle), ring * Math.sin(angle), z];
      const plain = harmonics(u, order);
      const turned = harmonics([dot(inverse[0], u), dot(inverse[1], u), dot(inverse[2], u)], order);
      for (let n = 0; n <= order; n++)
        for (let i = n * n; i < (n + 1) ** 2; i++)
          for (let j = n * n; j < (n + 1) ** 2; j++)
            matrix[i * channels + j] = (matrix[i * channels + j] ?? 0) + weight * (2 * n + 1) * (turned[i] ?? 0) * (plain[j] ?? 0);
    }
  }
  return matrix;
}
