// @ts-check
/** @import { DeskState, CommandOrder, JobState } from "./types.js" */

/** A refusal of the server, in the words of the command line. */
export class Refused extends Error {}

/**
 * @param {string} path
 * @param {Record<string, string | number | string[] | null | undefined>} [query]
 */
function address(path, query = {}) {
  const words = new URLSearchParams();
  for (const [name, value] of Object.entries(query))
    for (const one of Array.isArray(value) ? value : [value]) if (one !== null && one !== undefined) words.append(name, String(one));
  return words.size > 0 ? `${path}?${words}` : path;
}

/** @param {Response} response */
async function checked(response) {
  if (response.ok) return response;
  const type = response.headers.get("content-type") ?? "";
  const refusal = type.includes("json") ? /** @type {{ message: string }} */ (await response.json()).message : (await response.text()).trim();
  throw new Refused(refusal || `the desk answered ${response.status}`);
}

/**
 * @template T
 * @param {string} path
 * @param {Parameters<typeof address>[1]} [query]
 * @param {AbortSignal} [signal]
 * @returns {Promise<T>}
 */
export async function ask(path, query, signal) {
  const response = await checked(await fetch(address(path, query), { signal }));
  return /** @type {T} */ (await response.json());
}

/**
 * @param {string} path
 * @param {Parameters<typeof address>[1]} [query]
 * @param {AbortSignal} [signal]
 */
export async function askBytes(path, query, signal) {
  return (await checked(await fetch(address(path, query), { signal }))).arrayBuffer();
}

/** @param {string} path @param {unknown} [body] */
async function post(path, body) {
  return checked(await fetch(path, { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(body ?? {}) }));
}

/** @returns {Promise<DeskState>} */
export const readState = () => ask("/api/state");

/** @param {CommandOrder} order @returns {Promise<JobState>} */
export async function run(order) {
  const answer = /** @type {{ job: JobState }} */ (await (await post("/api/orders", order)).json());
  return answer.job;
}

/** @param {number} id */
export const stop = (id) => post(`/api/jobs/${id}/stop`);

/** @param {string} file */
export const chooseSession = (file) => post("/api/session", { file });
