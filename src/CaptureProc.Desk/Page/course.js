// @ts-check
/** @import { DeskState } from "./types.js" @import { Desk } from "./desk.js" @import { Page } from "./app.js" */

/** @typedef {{ text: string, mood: "" | "good" | "look" }} Note */
/** @typedef {{ name: string, title: string, load: () => Promise<{ open: (desk: Desk) => Page }>, note: (state: DeskState) => Note }} Stop */

const sure = 0.95;

/** @param {string} text @param {Note["mood"]} [mood] @returns {Note} */
const say = (text, mood = "") => ({ text, mood });

/** The pages in the order of the work, each with what is to be said of it now. @type {Stop[]} */
export const course = [
  { name: "rig", title: "Rig", load: () => import("./pages/rig.js"),
    note: ({ session }) => !session ? say("begin here") : say(`${session.arrays.length} array${session.arrays.length === 1 ? "" : "s"}, ${session.spots.length} spots`) },
  { name: "line-up", title: "Line-up", load: () => import("./pages/lineup.js"),
    note: ({ session }) => {
      const array = session?.arrays[0];
      return !array || array.trimSets.length === 0 ? say("not lined up") : say(array.activeTrim ? `trims “${array.activeTrim}”` : "trims not in use", array.activeTrim ? "good" : "look");
    } },
  { name: "patch", title: "Patch", load: () => import("./pages/patch.js"),
    note: ({ session }) => {
      const patch = session?.arrays[0]?.patch;
      return !patch ? say("not checked") : patch.ok ? say("right", "good") : say("look here", "look");
    } },
  { name: "slate", title: "Slate", load: () => import("./pages/slate.js"),
    note: ({ session }) => {
      if (!session || session.spots.length === 0) return say("no spots");
      const told = session.spots.filter((s) => s.delay !== null && s.delay.confidence >= sure).length;
      return say(`${told} of ${session.spots.length} sure`, told === session.spots.length ? "good" : session.clicks.length > 0 ? "look" : "");
    } },
  { name: "stage", title: "Stage", load: () => import("./pages/stage.js"),
    note: ({ session }) => say(session && session.spots.some((s) => s.direction) ? `${session.spots.filter((s) => s.direction).length} placed` : "nobody placed") },
  { name: "take", title: "Take", load: () => import("./pages/take.js"), note: () => say("listen and mix") },
  { name: "delivery", title: "Delivery", load: () => import("./pages/delivery.js"), note: ({ reports }) => say(reports.length > 0 ? `${reports.length} report${reports.length === 1 ? "" : "s"}` : "hand over") },
];
