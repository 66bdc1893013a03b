// @ts-check
/** @import { CommandOrder } from "./types.js" */

/** A word as a shell takes it. @param {string} word */
const quoted = (word) => (/^[\w@%+=:,./-]+$/.test(word) ? word : `'${word.replaceAll("'", `'\\''`)}'`);

/** The command as it could be typed. @param {CommandOrder} order @param {string | null} session */
export function commandText(order, session) {
  const words = ["captureproc", order.command];
  if (order.command !== "start") words.push(session ?? "SESSION");
  words.push(...order.inputs);
  if (order.output) words.push(order.output);
  for (const { name, value } of order.options) words.push(name, ...(value === null || value === undefined ? [] : [value]));
  return words.map(quoted).join(" ");
}
