// @ts-check
/** @import { Session } from "./types.js" */
import { colour } from "./dom.js";

const count = 8;

/** The colour of a spot, the same on every page. @param {Session | null} session @param {string | null} id */
export function tintOf(session, id) {
  const index = session?.spots.findIndex((s) => s.id === id) ?? -1;
  return index < 0 ? colour("quiet") : colour(`spot-${(index % count) + 1}`);
}
