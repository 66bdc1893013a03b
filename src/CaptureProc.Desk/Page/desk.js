// @ts-check
/** @import { DeskState, CommandOrder, JobState, Session } from "./types.js" */
import { readState, run, stop, Refused } from "./api.js";

/** What all pages share: the state as last read, the work that runs, and whoever wants to know when either changes. */
export class Desk extends EventTarget {
  /** @type {DeskState} */
  state = { folder: "", sessionFile: null, session: null, problem: null, sessions: [], recordings: [], reports: [], presets: [], jobs: [] };

  /** The order that the page at hand would give. @type {CommandOrder | null} */
  order = null;

  /** @type {string | null} */
  refusal = null;

  /** @type {Map<number, (job: JobState) => void>} */
  #waiting = new Map();

  /** Jobs that ended before anybody waited for them. @type {Map<number, JobState>} */
  #ended = new Map();

  #reading = 0;

  async refresh() {
    const turn = ++this.#reading;
    try {
      const state = await readState();
      // An answer that was overtaken by a later question is an old one.
      if (turn !== this.#reading) return;
      this.state = state;
      this.dispatchEvent(new Event("state"));
    } catch (error) {
      this.say(error);
    }
  }

  listen() {
    const feed = new EventSource("/api/events");
    feed.onopen = () => { document.body.dataset.feed = "open"; void this.refresh(); };
    feed.onerror = () => { document.body.dataset.feed = "lost"; };
    feed.onmessage = (message) => {
      const event = /** @type {{ type: string, job: JobState }} */ (JSON.parse(message.data));
      if (event.type === "job") this.#take(event.job);
      else void this.refresh();
    };
  }

  /** @param {JobState} job */
  #take(job) {
    const at = this.state.jobs.findIndex((j) => j.id === job.id);
    if (at < 0) this.state.jobs.push(job);
    else this.state.jobs[at] = job;
    if (job.exitCode !== null) {
      this.#ended.set(job.id, job);
      this.#waiting.get(job.id)?.(job);
      this.#waiting.delete(job.id);
    }
    this.dispatchEvent(new Event("jobs"));
  }

  /** Gives an order and waits for its end. @param {CommandOrder} order @returns {Promise<JobState | null>} null where it was refused. */
  async run(order) {
    this.say(null);
    try {
      const job = await run(order);
      this.#take(job);
      const done = this.#ended.get(job.id) ?? await new Promise((/** @type {(job: JobState) => void} */ resolve) => this.#waiting.set(job.id, resolve));
      await this.refresh();
      return done;
    } catch (error) {
      this.say(error);
      return null;
    }
  }

  /** @param {number} id */
  async stop(id) {
    try { await stop(id); } catch (error) { this.say(error); }
  }

  /** The order that is shown at the foot, to run or to copy. @param {CommandOrder | null} order */
  offer(order) {
    this.order = order;
    this.dispatchEvent(new Event("order"));
  }

  /** What could not be done, at the foot of every page. @param {unknown} problem */
  say(problem) {
    if (problem instanceof DOMException && problem.name === "AbortError") return;
    this.refusal = problem === null || problem === undefined ? null : problem instanceof Refused ? problem.message
      : problem instanceof TypeError ? "the desk does not answer; is it still running in its terminal?" : String(problem);
    this.dispatchEvent(new Event("jobs"));
  }

  /** @returns {Session | null} */
  get session() { return this.state.session; }
}
