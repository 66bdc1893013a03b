// @ts-check
/** @import { Desk } from "./desk.js" @import { Recording } from "./types.js" */
import { h, clock } from "./dom.js";

/**
 * Which files a page works on: the ones a command read last, else the one whose name says so, else none.
 * What was chosen is kept for this tab.
 */
export class Choice extends EventTarget {
  /**
   * @param {Desk} desk
   * @param {string} role Under which it is kept.
   * @param {string} title
   * @param {{ commands?: string[], names?: RegExp, channels?: (count: number) => boolean }} hints
   */
  constructor(desk, role, title, hints) {
    super();
    this.desk = desk;
    this.key = `recording:${role}`;
    this.hints = hints;
    this.list = h("ul", {});
    this.summary = h("summary", {});
    this.element = h("details", { class: "choice" }, this.summary, h("fieldset", {}, h("legend", { class: "visually-hidden" }, title), this.list,
      h("p", { class: "quiet" }, "Several files count on from one to the next, in this order.")));
    this.title = title;
    /** @type {string[]} */
    this.files = this.#kept() ?? [];
    this.isChosen = this.files.length > 0;
  }

  /** @returns {string[] | null} */
  #kept() {
    const text = sessionStorage.getItem(this.key);
    return text === null ? null : /** @type {string[]} */ (JSON.parse(text));
  }

  /** To be called when the state has changed. @returns {boolean} whether other files are meant now. */
  update() {
    const before = this.files.join("\n");
    const there = this.#usable();
    const files = this.files.filter((f) => there.some((r) => r.file === f));
    if (!this.isChosen || files.length === 0) this.files = this.#guess(there);
    else this.files = files;
    this.#draw(there);
    return this.files.join("\n") !== before;
  }

  get recordings() {
    return this.files.map((f) => this.desk.state.recordings.find((r) => r.file === f)).filter((r) => r !== undefined);
  }

  get frames() { return Math.max(0, ...this.recordings.map((r) => Math.round(r.seconds * r.rateHz))); }

  /** Names of all channels, by number from 1. */
  get tracks() { return this.recordings.flatMap((r) => (r.tracks.length > 0 ? r.tracks : Array.from({ length: r.channels }, () => null))); }

  #usable() {
    return this.desk.state.recordings.filter((r) => r.problem !== null || !this.hints.channels || this.hints.channels(r.channels));
  }

  /** @param {Recording[]} there @returns {string[]} */
  #guess(there) {
    const last = this.desk.session?.history.findLast((e) => this.hints.commands?.includes(e.command.split(" ")[0] ?? "") && e.inputs.length > 0);
    const known = last?.inputs.map((i) => there.find((r) => r.file === i.file || r.file.endsWith(`/${i.file}`))?.file) ?? [];
    if (known.length > 0 && known.every((f) => f !== undefined)) return /** @type {string[]} */ (known);
    const named = there.find((r) => r.problem === null && this.hints.names?.test(r.file));
    return named ? [named.file] : [];
  }

  /** @param {Recording[]} there */
  #draw(there) {
    const chosen = this.recordings;
    this.summary.replaceChildren(h("span", { class: "label" }, this.title), " ", h("strong", {}, this.files.length > 0 ? this.files.join(" + ") : "none chosen"),
      chosen[0] ? h("span", { class: "quiet" }, ` ${clock(Math.max(...chosen.map((r) => r.seconds)))}, ${chosen.reduce((n, r) => n + r.channels, 0)} channels`) : "");
    this.list.replaceChildren(...there.map((r) => h("li", {}, h("label", {},
      h("input", { type: "checkbox", checked: this.files.includes(r.file), disabled: r.problem !== null, "data-file": r.file, onchange: (/** @type {Event} */ e) => this.#toggle(r.file, /** @type {HTMLInputElement} */ (e.target).checked) }),
      h("span", {}, r.file), h("span", { class: "quiet" }, r.problem ?? ` ${clock(r.seconds)}, ${r.channels} ch, ${r.rateHz / 1000} kHz`)))));
    if (there.length === 0) this.list.append(h("li", { class: "quiet" }, "There is no recording in this folder yet."));
    if (this.files.length === 0 && !this.isChosen) this.element.open = true;
  }

  /** @param {string} file @param {boolean} isOn */
  #toggle(file, isOn) {
    this.files = isOn ? [...this.files.filter((f) => f !== file), file] : this.files.filter((f) => f !== file);
    this.isChosen = true;
    sessionStorage.setItem(this.key, JSON.stringify(this.files));
    this.#draw(this.#usable());
    this.dispatchEvent(new Event("change"));
  }
}
