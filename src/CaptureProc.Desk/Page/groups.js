// @ts-check
/** @import { Session } from "./types.js" */

/** Channels that belong together: an array, or a spot. @typedef {{ kind: "array" | "spot", id: string, was: string | null, channels: number[] }} Group */

const capsule = /^(.*?)[\s._-]*([FB][LR][UD])$/i;

/** What the recorder's track names say: four capsules of one name belong together, the first four are the array. @param {(string | null)[]} tracks @returns {Group[]} */
export function fromTracks(tracks) {
  /** @type {Map<string, number[]>} */
  const fours = new Map();
  tracks.forEach((name, i) => {
    const found = name?.match(capsule);
    if (found) fours.set(found[1] ?? "", [...(fours.get(found[1] ?? "") ?? []), i + 1]);
  });
  /** @type {Group[]} */
  const groups = [];
  const taken = new Set();
  for (const [name, channels] of fours) {
    if (channels.length !== 4) continue;
    groups.push({ kind: groups.length === 0 ? "array" : "spot", id: idFrom(name) || (groups.length === 0 ? "main" : `spot ${channels[0]}`), was: null, channels });
    channels.forEach((c) => taken.add(c));
  }
  if (groups.length === 0 && tracks.length >= 4) {
    groups.push({ kind: "array", id: "main", was: null, channels: [1, 2, 3, 4] });
    [1, 2, 3, 4].forEach((c) => taken.add(c));
  }
  tracks.forEach((name, i) => {
    if (taken.has(i + 1) || !name) return;
    const id = idFrom(name);
    groups.push({ kind: "spot", id: groups.some((g) => g.id === id) || !id ? `${id} ${i + 1}`.trim() : id, was: null, channels: [i + 1] });
  });
  return groups;
}

/** @param {Session} session @returns {Group[]} */
export function fromSession(session) {
  return [
    ...session.arrays.filter((a) => !session.spots.some((s) => s.arrayId === a.id)).map((a) => ({ kind: /** @type {const} */ ("array"), id: a.id, was: a.id, channels: [...a.channels] })),
    ...session.spots.map((s) => ({ kind: /** @type {const} */ ("spot"), id: s.id, was: s.id, channels: [...s.channels] })),
  ];
}

/** 1-4, or 1,3,2,4 where they do not run on. @param {number[]} channels */
export function channelList(channels) {
  const runsOn = channels.length > 1 && channels.every((c, i) => i === 0 || c === (channels[i - 1] ?? 0) + 1);
  return runsOn ? `${channels[0]}-${channels.at(-1)}` : channels.join(",");
}

/** @param {string} name */
export const idFrom = (name) => name.replace(/[\u0000-\u001f/\\:*?"<>|=,]/g, "-").trim().replace(/^\.+|\.+$/g, "");
