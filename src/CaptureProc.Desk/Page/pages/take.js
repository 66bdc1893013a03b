// @ts-check
/** @import { Desk } from "../desk.js" @import { Page } from "../app.js" @import { CommandOption, CommandOrder } from "../types.js" @import { Side } from "../audio/player.js" */
import { h, fixed, signed, clock } from "../dom.js";
import { Choice } from "../recordings.js";
import { Player } from "../audio/player.js";
import { listenerTurn } from "../audio/turn.js";
import { drawHead } from "../head.js";
import { tintOf } from "../tints.js";

const turnStepDeg = 5;
const silentDb = -120;
const faderRangeDb = [-40, 12];

/** @typedef {{ id: string | null, db: number, isMuted: boolean, isSolo: boolean }} Fader */
/** @typedef {Side & { hasSpots: boolean }} Way */

/** @param {Desk} desk @returns {Page} */
export function open(desk) { return new TakePage(desk); }

class TakePage {
  /** @type {[Way, Way]} */
  ways = [
    { trim: null, correction: "full", later: 0, aligned: true, hasSpots: true },
    { trim: null, correction: "full", later: 0, aligned: false, hasSpots: true },
  ];
  /** @type {Fader[]} */ faders = [];
  /** @type {0 | 1} */ side = 0;
  yaw = 0;
  pitch = 0;
  order = 1;
  isMatched = true;
  action = "mix";
  #opened = "";

  /** @param {Desk} desk */
  constructor(desk) {
    this.desk = desk;
    this.player = new Player((e) => desk.say(e));
    this.player.addEventListener("moved", () => this.#moved());
    this.player.addEventListener("starved", () => { this.element.dataset.starved = String(this.player.underruns); });
    this.choice = new Choice(desk, "take", "Take", { names: /take/i, channels: (n) => n >= 4 });
    this.choice.addEventListener("change", () => this.update());
    this.position = h("input", { type: "range", min: "0", max: "1", step: "any", value: "0", "aria-label": "Place in the take", oninput: () => this.player.seek(Number(this.position.value)) });
    this.time = h("output", { class: "quiet" });
    this.go = h("button", { type: "button", class: "do", id: "play", onclick: () => void this.#toggle() }, "Listen");
    this.sides = /** @type {const} */ ([0, 1]).map((i) => h("button", { type: "button", class: "side", id: `side-${i}`, "aria-pressed": String(i === 0), onclick: () => this.#hear(i) }, i === 0 ? "A" : "B"));
    this.matchText = h("span", { class: "quiet", role: "status" });
    this.head = h("canvas", { class: "head-dial", tabIndex: 0, role: "slider", "aria-label": "Turn of the head", "aria-valuemin": "-180", "aria-valuemax": "180" });
    this.strips = h("div", { class: "strips" });
    this.wayFields = h("div", { class: "two" });
    this.element = this.#build();
    this.#bindHead();
  }

  close() { void this.player.close(); }

  #build() {
    const volume = h("input", { type: "range", min: "-40", max: "6", step: "1", value: "-6", "aria-label": "Level in the headphones", oninput: () => this.player.volume(Number(volume.value)) });
    this.volume = volume;
    const element = h("div", { class: "page take", "data-state": "opening", onkeydown: (/** @type {KeyboardEvent} */ e) => this.#key(e) },
      h("div", { class: "bar" }, this.choice.element),
      h("section", { class: "card listen", "aria-label": "Listen" },
        h("div", { class: "bar" }, this.go, ...this.sides,
          h("label", { class: "check" }, h("input", { type: "checkbox", checked: true, onchange: (/** @type {Event} */ e) => { this.isMatched = /** @type {HTMLInputElement} */ (e.target).checked; this.player.level(this.isMatched); } }), "at the same level"),
          this.matchText, h("label", { class: "check" }, "headphones", volume)),
        h("div", { class: "seek" }, this.position, this.time),
        h("div", { class: "listen-columns" }, h("figure", {}, this.head, h("figcaption", {}, "Drag, or arrow keys: the head turns, the hall stays. Begin softly.")), this.wayFields)),
      h("section", { class: "card" }, h("h2", {}, "Faders"), h("p", { class: "quiet" }, "0 dB is the gain that was measured: the spot as loud as its player is in the array."), this.strips),
      h("div", { class: "bar actions", role: "group", "aria-label": "What to write" },
        ...[["mix", "Write the mix of this side"], ["align", "Write aligned spots"], ["convert", "Write the array alone"]].map(([name, label]) =>
          h("button", { type: "button", class: "plain", "aria-pressed": String(name === this.action), "data-action": name, onclick: () => this.#write(name ?? "mix") }, label ?? ""))));
    return element;
  }

  update() {
    const { session } = this.desk;
    this.choice.update();
    const spots = session?.spots ?? [];
    const before = new Map(this.faders.map((f) => [f.id, f]));
    this.faders = [null, ...spots.map((s) => s.id)].map((id) => before.get(id) ?? { id, db: 0, isMuted: false, isSolo: false });
    this.#drawWays();
    this.#drawStrips();
    const key = `${this.choice.files.join("\n")}|${session?.modified}|${this.order}`;
    if (key !== this.#opened) { this.#opened = key; void this.#open(); }
    this.#changed();
  }

  async #open() {
    void this.player.close();
    this.player = new Player((e) => this.desk.say(e));
    this.player.addEventListener("moved", () => this.#moved());
    this.player.addEventListener("starved", () => { this.element.dataset.starved = String(this.player.underruns); });
    this.go.disabled = true;
    if (!this.desk.session || this.choice.files.length === 0) { this.element.dataset.state = "ready"; return; }
    try {
      const view = await this.player.open(this.choice.files, [this.ways[0], this.ways[1]], this.order);
      this.position.max = String(view.frames);
      this.go.disabled = false;
    } catch (error) {
      this.desk.say(error);
    }
    this.element.dataset.state = "ready";
  }

  #drawWays() {
    const trims = ["", "none", ...(this.desk.session?.arrays[0]?.trimSets.map((t) => t.name) ?? [])];
    this.wayFields.replaceChildren(...this.ways.map((way, i) => h("fieldset", { class: `way${i === this.side ? " heard" : ""}`, "data-way": i }, h("legend", {}, i === 0 ? "A" : "B"),
      h("label", {}, "Trims", select(trims.map((t) => [t, t === "" ? "in use" : t]), way.trim ?? "", (v) => this.#set(i, { trim: v || null }))),
      h("label", {}, "Correction", select([["full", "full"], ["live", "live"], ["none", "none"]], way.correction, (v) => this.#set(i, { correction: v }))),
      h("label", {}, "Spots", select([["aligned", "lined up"], ["raw", "as recorded"], ["off", "without"]], !way.hasSpots ? "off" : way.aligned ? "aligned" : "raw", (v) => this.#set(i, { hasSpots: v !== "off", aligned: v !== "raw" }))),
      h("label", {}, "Spots later by, ms", h("input", { type: "number", value: String(way.later), min: "-1000", max: "1000", step: "0.5", onchange: (/** @type {Event} */ e) => this.#set(i, { later: Number(/** @type {HTMLInputElement} */ (e.target).value) || 0 }) })))));
  }

  #drawStrips() {
    const { session } = this.desk;
    this.strips.replaceChildren(...this.faders.map((fader) => {
      const name = fader.id ?? session?.arrays[0]?.id ?? "array";
      const said = h("output", {}, `${signed(fader.db, 1)} dB`);
      const slide = h("input", { type: "range", min: String(faderRangeDb[0]), max: String(faderRangeDb[1]), step: "0.5", value: String(fader.db), "aria-label": `${name}, level in dB`, "data-fader": fader.id ?? "",
        oninput: () => { fader.db = Number(slide.value); said.textContent = `${signed(fader.db, 1)} dB`; this.#changed(); }, ondblclick: () => { slide.value = "0"; slide.dispatchEvent(new Event("input")); } });
      const toggle = (/** @type {"isMuted" | "isSolo"} */ what, /** @type {string} */ label) => {
        const button = h("button", { type: "button", class: "plain", "aria-pressed": String(fader[what]), "aria-label": `${name} ${label}`, onclick: () => { fader[what] = !fader[what]; button.setAttribute("aria-pressed", String(fader[what])); this.#changed(); } }, label);
        return button;
      };
      const strip = h("div", { class: "strip" }, h("span", { class: "strip-name" }, name), slide, said, toggle("isMuted", "mute"), fader.id === null ? h("span", {}) : toggle("isSolo", "solo"));
      strip.style.setProperty("--tint", fader.id === null ? "var(--array)" : tintOf(session, fader.id));
      return strip;
    }));
  }

  /** What a fader comes to, in dB over what is recorded; the array's own is the level of the whole. @param {Fader} fader */
  #gainDb(fader) {
    const isSolo = this.faders.some((f) => f.isSolo);
    if (fader.isMuted || (isSolo && fader.id !== null && !fader.isSolo)) return silentDb;
    return fader.db + (fader.id === null ? 0 : this.desk.session?.spots.find((s) => s.id === fader.id)?.gainDb ?? 0);
  }

  /** @returns {[number[], number[]]} */
  #gains() {
    const of = (/** @type {Way} */ way) => this.faders.map((f) => {
      const db = this.#gainDb(f);
      const isPlaced = f.id === null || this.desk.session?.spots.some((s) => s.id === f.id && (s.direction !== null || s.arrayId) && s.delay !== null);
      return db <= silentDb || (f.id !== null && !way.hasSpots) || !isPlaced ? 0 : 10 ** (db / 20);
    });
    return [of(this.ways[0]), of(this.ways[1])];
  }

  /** @param {number} i @param {Partial<Way>} to */
  #set(i, to) {
    const way = this.ways[i === 1 ? 1 : 0];
    Object.assign(way, to);
    this.player.change([{ ...this.ways[0] }, { ...this.ways[1] }]);
    this.#changed();
  }

  #changed() {
    this.player.gains(this.#gains());
    this.desk.offer(this.#orderOf());
    this.element.querySelectorAll("[data-action]").forEach((b) => b.setAttribute("aria-pressed", String(b.getAttribute("data-action") === this.action)));
    drawHead(this.head, this.yaw, this.pitch, this.desk.session);
    this.head.setAttribute("aria-valuenow", String(Math.round(this.yaw)));
    this.head.setAttribute("aria-valuetext", `${fixed(Math.abs(this.yaw), 0)} degrees to the ${this.yaw >= 0 ? "left" : "right"}, ${fixed(Math.abs(this.pitch), 0)} ${this.pitch >= 0 ? "up" : "down"}`);
  }

  /** @param {string} action */
  #write(action) {
    this.action = action;
    this.#changed();
  }

  /** The command that makes what this side sounds like. @returns {CommandOrder | null} */
  #orderOf() {
    if (!this.desk.session || this.choice.files.length === 0) return null;
    const way = this.ways[this.side];
    /** @type {CommandOption[]} */
    const options = [];
    if (way.trim) options.push({ name: "--trim", value: way.trim });
    if (way.correction !== "full") options.push({ name: "--correction", value: way.correction });
    const output = { mix: "mix.wav", align: "aligned", convert: "field.wav" }[this.action] ?? "mix.wav";
    if (this.desk.state.recordings.some((r) => r.file === output || r.file.startsWith(`${output}/`))) options.push({ name: "--replace" });
    if (this.action !== "convert" && way.later !== 0) options.push({ name: "--later", value: String(way.later) });
    if (this.action === "align") options.push({ name: "--place" });
    if (this.action === "mix") options.push(...this.#mixOptions(way));
    return { command: this.action, inputs: this.choice.files, output, options };
  }

  /** @param {Way} way @returns {CommandOption[]} */
  #mixOptions(way) {
    const [array, ...spots] = this.faders;
    const levelDb = array ? this.#gainDb(array) : 0;
    /** @type {CommandOption[]} */
    const options = levelDb === 0 ? [] : [{ name: "--mix-gain", value: String(levelDb) }];
    if (!way.hasSpots) return [...options, { name: "--gain", value: String(silentDb) }];
    for (const fader of spots) {
      const measured = this.desk.session?.spots.find((s) => s.id === fader.id)?.gainDb ?? 0;
      const db = this.#gainDb(fader);
      if (db !== measured || levelDb !== 0) options.push({ name: "--gain", value: `${fader.id}=${Math.max(silentDb, Math.min(60, Number((db - levelDb).toFixed(2))))}` });
    }
    return options;
  }

  async #toggle() {
    if (!this.player.isStarted) {
      await this.player.start(this.#gains(), this.side, listenerTurn(this.order, this.yaw, this.pitch, 0), this.isMatched);
      this.player.volume(Number(this.volume?.value ?? -6));
    }
    this.player.play(!this.player.isPlaying);
  }

  /** @param {0 | 1} side */
  #hear(side) {
    this.side = side;
    this.player.hear(side);
    this.sides.forEach((b, i) => b.setAttribute("aria-pressed", String(i === side)));
    this.wayFields.querySelectorAll(".way").forEach((w, i) => w.classList.toggle("heard", i === side));
    this.#changed();
  }

  #moved() {
    const { view } = this.player;
    if (!view) return;
    this.go.textContent = this.player.isPlaying ? "Pause" : "Listen";
    if (document.activeElement !== this.position) this.position.value = String(this.player.frame);
    this.time.textContent = `${clock(this.player.frame / view.rateHz)} of ${clock(view.frames / view.rateHz)}`;
    const [a = 1, b = 1] = this.player.match;
    const down = Math.min(a, b);
    this.matchText.textContent = this.isMatched && down < 0.99 ? `${a < b ? "A" : "B"} is ${fixed(20 * Math.log10(1 / down), 1)} dB louder, and taken down` : "";
    this.element.dataset.frame = String(this.player.frame);
  }

  #bindHead() {
    /** @type {{ x: number, y: number, yaw: number, pitch: number } | null} */
    let held = null;
    this.head.addEventListener("pointerdown", (e) => { held = { x: e.clientX, y: e.clientY, yaw: this.yaw, pitch: this.pitch }; this.head.setPointerCapture(e.pointerId); this.head.focus(); });
    this.head.addEventListener("pointermove", (e) => { if (held) this.#turn(held.yaw - (e.clientX - held.x) * 0.8, held.pitch - (e.clientY - held.y) * 0.5); });
    this.head.addEventListener("pointerup", () => { held = null; });
    this.head.addEventListener("dblclick", () => this.#turn(0, 0));
  }

  /** @param {number} yaw @param {number} pitch */
  #turn(yaw, pitch) {
    this.yaw = ((((yaw + 180) % 360) + 360) % 360) - 180;
    this.pitch = Math.max(-90, Math.min(90, pitch));
    this.player.turn(listenerTurn(this.order, this.yaw, this.pitch, 0));
    this.#changed();
  }

  /** @param {KeyboardEvent} e */
  #key(e) {
    const on = /** @type {HTMLElement} */ (e.target);
    const isTyping = ["INPUT", "SELECT"].includes(on.tagName);
    const isHead = on === this.head;
    /** @type {Record<string, (() => void) | undefined>} */
    const keys = {
      a: isTyping ? undefined : () => this.#hear(0), b: isTyping ? undefined : () => this.#hear(1), x: isTyping ? undefined : () => this.#hear(this.side === 0 ? 1 : 0),
      " ": isTyping || on.tagName === "BUTTON" ? undefined : () => void this.#toggle(),
      ArrowLeft: isHead ? () => this.#turn(this.yaw + turnStepDeg, this.pitch) : undefined, ArrowRight: isHead ? () => this.#turn(this.yaw - turnStepDeg, this.pitch) : undefined,
      ArrowUp: isHead ? () => this.#turn(this.yaw, this.pitch + turnStepDeg) : undefined, ArrowDown: isHead ? () => this.#turn(this.yaw, this.pitch - turnStepDeg) : undefined,
      Home: isHead ? () => this.#turn(0, 0) : undefined,
    };
    const go = keys[e.key];
    if (!go || e.ctrlKey || e.metaKey || e.altKey) return;
    e.preventDefault();
    go();
  }
}

/** @param {(string | undefined)[][]} choices @param {string} value @param {(value: string) => void} change */
function select(choices, value, change) {
  const element = h("select", { onchange: () => change(element.value) }, choices.map(([v, label]) => h("option", { value: v ?? "", selected: v === value }, label ?? "")));
  return element;
}
