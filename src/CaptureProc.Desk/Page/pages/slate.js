// @ts-check
/** @import { Desk } from "../desk.js" @import { Page } from "../app.js" @import { Click, ClapView, CommandOrder, Spot } from "../types.js" @import { Lane } from "../lanes.js" */
import { h, fixed, signed, colour } from "../dom.js";
import { ask } from "../api.js";
import { Choice } from "../recordings.js";
import { Lanes, viewGains } from "../lanes.js";
import { drawOverlay } from "../overlay.js";
import { tintOf } from "../tints.js";
import { hearClap } from "../audio/clap.js";

/** @typedef {{ seconds: number, spot: string | null, click: Click | null }} Mark */

const sure = 0.95;
const halfViews = [1, 2, 5, 10, 20, 50, 100, 200];

/** @param {Desk} desk @returns {Page} */
export function open(desk) { return new SlatePage(desk); }

class SlatePage {
  /** @type {Mark[]} */ marks = [];
  /** Marks as they were, to go back to. @type {Mark[][]} */ past = [];
  selected = -1;
  isEdited = false;
  halfIndex = 3;
  /** @type {ClapView | null} */ clap = null;
  #shownFor = "";
  #opened = "";
  #asked = 0;

  /** @param {Desk} desk */
  constructor(desk) {
    this.desk = desk;
    this.choice = new Choice(desk, "slate", "Slate", { commands: ["measure"], names: /slate|clap/i });
    this.choice.addEventListener("change", () => { this.isEdited = false; this.update(); });
    this.canvas = h("canvas", { class: "lanes", tabIndex: 0, role: "application", "aria-label": "Channels of the slate. Plus and minus zoom, arrows move, bracket keys go from clap to clap, N adds one, Delete removes one, Alt with arrows moves it.", "aria-describedby": "slate-keys" });
    this.lanes = new Lanes(this.canvas);
    this.lanes.addEventListener("pick", (e) => this.select(/** @type {CustomEvent<number>} */ (e).detail));
    this.lanes.addEventListener("drop", (e) => this.#dropped(/** @type {CustomEvent<{ mark: number, seconds: number, lane: number }>} */ (e).detail));
    this.lanes.addEventListener("add", (e) => this.add(/** @type {CustomEvent<{ seconds: number, lane: number }>} */ (e).detail));
    this.lanes.addEventListener("gains", () => this.gains.querySelectorAll("select").forEach((select, i) => { select.value = String(this.lanes.gainsDb[i]); }));
    this.canvas.addEventListener("keydown", (e) => this.#key(e));
    this.atOnce = h("input", { type: "checkbox", checked: true });
    this.gains = h("div", { class: "lane-gains" });
    this.claps = h("tbody", {});
    this.spots = h("tbody", {});
    this.before = h("canvas", { class: "overlay", role: "img", "aria-label": "before" });
    this.after = h("canvas", { class: "overlay", role: "img", "aria-label": "after" });
    this.clapTitle = h("h3", {}, "One clap");
    this.clapText = h("p", { class: "quiet", role: "status" });
    this.pair = h("section", { class: "pair card", hidden: true, "aria-label": "One clap, before and after" });
    this.room = h("p", { class: "quiet" });
    this.element = this.#build();
  }

  close() { this.lanes.close(); }

  #build() {
    const tool = (/** @type {string} */ label, /** @type {() => void} */ go, /** @type {string} */ id = "") => h("button", { type: "button", class: "plain", onclick: go, id: id || null }, label);
    this.undo = tool("Undo", () => this.#back(), "undo");
    const closer = (/** @type {number} */ step) => { this.halfIndex = Math.min(halfViews.length - 1, Math.max(0, this.halfIndex + step)); this.#paintPair(); };
    this.pair.append(
      h("div", { class: "bar" }, this.clapTitle, tool("Nearer", () => closer(-1)), tool("Wider", () => closer(1)),
        tool("Hear before", () => void this.#hear(false), "hear-before"), tool("Hear after", () => void this.#hear(true), "hear-after")),
      this.clapText,
      h("div", { class: "two" },
        h("figure", {}, this.before, h("figcaption", {}, "as recorded")),
        h("figure", {}, this.after, h("figcaption", {}, "lined up"))),
      h("p", { class: "quiet legend" }, h("span", { class: "swatch array" }), " array, W   ", h("span", { class: "swatch accent" }), " spot   samples from the arrival, each brought to the same height"));
    return h("div", { class: "page slate", "data-state": "opening" },
      h("div", { class: "bar" }, this.choice.element,
        tool("Whole", () => this.lanes.look(0, this.lanes.total)), tool("−", () => this.lanes.zoom(1.6)), tool("+", () => this.lanes.zoom(0.625)),
        this.undo, h("label", { class: "check" }, this.atOnce, "measure again at once")),
      h("div", { class: "stave" }, this.gains, this.canvas),
      h("p", { class: "quiet keys", id: "slate-keys" }, "Wheel zooms, Shift-wheel moves. Drag a flag along to put it right, or into another lane to give the clap to that spot; double-click adds one, Delete takes one away."),
      h("div", { class: "columns" },
        h("section", { class: "card" }, h("h2", {}, "Claps"), h("div", { class: "scroll", tabIndex: 0, role: "region", "aria-label": "Claps" }, h("table", { id: "claps" },
          h("thead", {}, h("tr", {}, ["heard at", "belongs to", "over noise", "direct to hall", ""].map((t) => h("th", { scope: "col" }, t)))), this.claps))),
        h("section", { class: "card" }, h("h2", {}, "Spots"), h("div", { class: "scroll", tabIndex: 0, role: "region", "aria-label": "Spots" }, h("table", { id: "spots" },
          h("thead", {}, h("tr", {}, ["spot", "waits, samples", "ms", "confidence", "polarity", "to match"].map((t) => h("th", { scope: "col" }, t)))), this.spots)), this.room)),
      this.pair);
  }

  update() {
    const { session } = this.desk;
    this.choice.update();
    const files = this.choice.files.join("\n");
    const stamp = `${this.desk.session?.modified}|${session?.clicks.length}|${JSON.stringify(session?.clicks ?? [])}`;
    if (stamp !== this.#shownFor) {
      this.#shownFor = stamp;
      this.isEdited = false;
      const kept = this.marks[this.selected];
      this.marks = (session?.clicks ?? []).map((click) => ({ seconds: click.timeSeconds, spot: click.spot, click }));
      this.selected = kept ? this.marks.findIndex((m) => Math.abs(m.seconds - kept.seconds) < 0.2 && m.spot === kept.spot) : this.selected;
    }
    this.#layOut();
    if (files !== this.#opened) {
      this.#opened = files;
      this.lanes.open(this.choice.files, this.choice.frames, session?.sampleRate ?? this.choice.recordings[0]?.rateHz ?? 48000, (e) => this.desk.say(e));
    }
    this.#draw();
    this.element.dataset.state = "ready";
  }

  #layOut() {
    const { session } = this.desk;
    const tracks = this.choice.tracks;
    const arrays = session?.arrays ?? [];
    /** @type {Lane[]} */
    const lanes = [];
    for (const array of arrays.filter((a) => !session?.spots.some((s) => s.arrayId === a.id)))
      array.channels.forEach((channel, i) => lanes.push({ channel, name: `${array.id} ${array.capsules[i]?.label ?? ""}`, tint: colour("array") }));
    for (const spot of session?.spots ?? []) for (const channel of spot.channels) lanes.push({ channel, name: spot.id, tint: tintOf(session, spot.id) });
    if (!session) tracks.forEach((name, i) => lanes.push({ channel: i + 1, name: name ?? `channel ${i + 1}`, tint: colour("array") }));
    this.lanes.lanes = lanes;
    this.canvas.style.height = `${26 + Math.max(1, lanes.length) * Math.max(34, Math.min(64, (innerHeight * 0.56) / Math.max(1, lanes.length)))}px`;
    if (this.lanes.gainsDb.length !== lanes.length) {
      this.lanes.gainsDb = lanes.map(() => 0);
      this.gains.replaceChildren(...lanes.map((lane, i) => this.#gain(lane, i)));
    }
  }

  /** @param {Lane} lane @param {number} index */
  #gain(lane, index) {
    return h("select", { "aria-label": `${lane.name}, channel ${lane.channel}: drawn larger by`, onchange: (/** @type {Event} */ e) => {
      this.lanes.gainsDb[index] = Number(/** @type {HTMLSelectElement} */ (e.target).value);
      this.lanes.draw();
    } }, viewGains.map((db) => h("option", { value: String(db) }, db === 0 ? "×1" : `+${db} dB`)));
  }

  /** The spot whose lane that is; null for a lane of the array. @param {number} lane */
  #spotOf(lane) {
    const channel = this.lanes.lanes[lane]?.channel;
    return this.desk.session?.spots.find((s) => channel !== undefined && s.channels.includes(channel)) ?? null;
  }

  /** @param {Mark} mark */
  #laneOf(mark) {
    const spot = this.desk.session?.spots.find((s) => s.id === mark.spot);
    return spot ? this.lanes.lanes.findIndex((l) => l.channel === spot.channels[0]) : 0;
  }

  #draw() {
    const { session } = this.desk;
    this.lanes.marks = this.marks.map((mark, i) => {
      const spot = session?.spots.find((s) => s.id === mark.spot);
      const delay = spot?.delay;
      return {
        seconds: mark.seconds, lane: this.#laneOf(mark), tint: tintOf(session, mark.spot), label: mark.spot ?? "nobody’s", isSelected: i === this.selected, isMoved: mark.click === null,
        arrival: delay && mark.click && session ? { seconds: mark.seconds + delay.samples / session.sampleRate, sigma: delay.uncertaintySamples / session.sampleRate } : null,
      };
    });
    this.lanes.draw();
    this.claps.replaceChildren(...this.marks.map((mark, i) => this.#clapRow(mark, i)));
    if (this.marks.length === 0) this.claps.append(h("tr", {}, h("td", { colspan: 5, class: "quiet" }, "None yet. Measure, and they are looked for; or double-click where one is.")));
    this.spots.replaceChildren(...(session?.spots ?? []).map((spot) => this.#spotRow(spot)));
    if (this.undo) this.undo.disabled = this.past.length === 0;
    const room = session?.room;
    this.room.textContent = room?.reverberationSeconds ? `Room: reverberation ${fixed(room.reverberationSeconds, 2)} ± ${fixed(room.uncertaintySeconds, 2)} s, from ${room.claps} claps.` : "";
    this.desk.offer(this.#order());
    void this.#showPair();
  }

  /** @returns {CommandOrder | null} */
  #order() {
    if (!this.desk.session || this.choice.files.length === 0) return null;
    const marks = this.marks.map((m) => `${m.seconds.toFixed(5)}${m.spot ? `=${m.spot}` : ""}`).join(",");
    return { command: "measure", inputs: this.choice.files, options: this.isEdited && marks ? [{ name: "--at", value: marks }] : [] };
  }

  /** @param {Mark} mark @param {number} index */
  #clapRow(mark, index) {
    const spots = this.desk.session?.spots ?? [];
    const pick = () => { this.select(index); this.lanes.show(mark.seconds, Math.min(0.06, this.lanes.frames / this.lanes.rate)); };
    return h("tr", { class: index === this.selected ? "chosen" : "", "data-clap": index },
      h("td", {}, h("button", { type: "button", class: "link", onclick: pick, "aria-label": `${mark.seconds.toFixed(4)} s: look at this clap` }, `${mark.seconds.toFixed(4)} s`)),
      h("td", {}, h("select", { "aria-label": "belongs to", onchange: (/** @type {Event} */ e) => this.change(index, { spot: /** @type {HTMLSelectElement} */ (e.target).value || null }) },
        h("option", { value: "", selected: mark.spot === null }, "nobody"), spots.map((s) => h("option", { value: s.id, selected: s.id === mark.spot }, s.id)))),
      h("td", {}, mark.click?.snrDb != null ? `${fixed(mark.click.snrDb, 0)} dB` : "–"),
      h("td", {}, mark.click?.directToReverberantDb != null ? `${signed(mark.click.directToReverberantDb, 1)} dB` : "–"),
      h("td", {}, h("button", { type: "button", class: "plain", onclick: () => this.remove(index), "aria-label": `Remove the clap at ${mark.seconds.toFixed(3)} seconds` }, "Remove")));
  }

  /** @param {Spot} spot */
  #spotRow(spot) {
    const d = spot.delay;
    const isSure = d !== null && d.confidence >= sure;
    return h("tr", { class: d === null ? "missing" : isSure ? "" : "unsure", "data-spot": spot.id },
      h("th", { scope: "row" }, h("span", { class: "dot" }), spot.id),
      h("td", {}, d ? `${fixed(d.samples, 2)} ± ${fixed(d.uncertaintySamples, 2)}` : "not measured"),
      h("td", {}, d ? fixed(d.ms, 3) : ""), h("td", {}, d ? (d.confidence > 0.9949 && d.confidence < 1 ? "> 0.99" : fixed(d.confidence, 2)) : ""),
      h("td", {}, d === null ? "" : spot.polarity === 1 ? "as the array" : spot.polarity === -1 ? "inverted" : "not sure"),
      h("td", {}, spot.gainDb === null ? "" : `${signed(spot.gainDb, 1)} dB`, spot.note ? h("p", { class: "remark" }, spot.note) : ""));
  }

  /** @param {number} index */
  select(index) {
    this.selected = index;
    this.#draw();
  }

  /** @param {number} index @param {Partial<Mark>} to */
  change(index, to) {
    this.#remember();
    this.marks = this.marks.map((m, i) => (i === index ? { ...m, ...to, click: null } : m));
    this.selected = index;
    this.#edited();
  }

  /** @param {number} index */
  remove(index) {
    this.#remember();
    this.marks = this.marks.filter((_, i) => i !== index);
    this.selected = -1;
    this.#edited();
  }

  /** @param {{ seconds: number, lane: number }} at */
  add(at) {
    if (!this.desk.session || at.seconds < 0) return;
    this.#remember();
    this.marks = [...this.marks, { seconds: at.seconds, spot: this.#spotOf(at.lane)?.id ?? null, click: null }].sort((a, b) => a.seconds - b.seconds);
    this.selected = this.marks.findIndex((m) => m.seconds === at.seconds);
    this.#edited();
  }

  /** @param {{ mark: number, seconds: number, lane: number }} to */
  #dropped(to) {
    const spot = this.#spotOf(to.lane);
    this.change(to.mark, { seconds: to.seconds, spot: spot?.id ?? this.marks[to.mark]?.spot ?? null });
  }

  #remember() { this.past = [...this.past.slice(-49), this.marks]; }

  #back() {
    const marks = this.past.at(-1);
    if (!marks) return;
    this.past = this.past.slice(0, -1);
    this.marks = marks;
    this.#edited();
  }

  #edited() {
    this.isEdited = true;
    this.#draw();
    const order = this.#order();
    if (this.atOnce.checked && order && this.marks.length > 0) void this.desk.run(order);
  }

  /** @param {KeyboardEvent} e */
  #key(e) {
    const mark = this.marks[this.selected];
    const nudge = this.lanes.frames / this.lanes.width / this.lanes.rate;
    /** @type {Record<string, (() => void) | undefined>} */
    const keys = {
      "+": () => this.lanes.zoom(0.625), "=": () => this.lanes.zoom(0.625), "-": () => this.lanes.zoom(1.6), "0": () => this.lanes.look(0, this.lanes.total),
      ArrowLeft: e.altKey && mark ? () => this.change(this.selected, { seconds: mark.seconds - Math.max(nudge, 1 / this.lanes.rate) }) : () => this.lanes.pan(-0.1),
      ArrowRight: e.altKey && mark ? () => this.change(this.selected, { seconds: mark.seconds + Math.max(nudge, 1 / this.lanes.rate) }) : () => this.lanes.pan(0.1),
      Home: () => this.lanes.look(0, this.lanes.frames), End: () => this.lanes.look(this.lanes.total, this.lanes.frames),
      "[": () => this.#step(-1), "]": () => this.#step(1),
      n: () => this.add({ seconds: (this.lanes.first + this.lanes.frames / 2) / this.lanes.rate, lane: this.#laneOf(mark ?? { seconds: 0, spot: this.desk.session?.spots[0]?.id ?? null, click: null }) }),
      Delete: mark ? () => this.remove(this.selected) : undefined,
      Enter: () => { const order = this.#order(); if (order) void this.desk.run(order); },
    };
    const go = keys[e.key] ?? (e.ctrlKey && e.key === "z" ? () => this.#back() : undefined);
    if (!go || (e.ctrlKey && e.key !== "z")) return;
    e.preventDefault();
    go();
  }

  /** @param {number} by */
  #step(by) {
    if (this.marks.length === 0) return;
    this.select((this.selected + by + this.marks.length) % this.marks.length);
    const mark = this.marks[this.selected];
    if (mark) this.lanes.show(mark.seconds, Math.min(0.2, this.lanes.frames / this.lanes.rate));
  }

  async #showPair() {
    const mark = this.marks[this.selected];
    const spot = this.desk.session?.spots.find((s) => s.id === mark?.spot);
    this.pair.hidden = !mark || !spot?.delay || this.choice.files.length === 0;
    if (this.pair.hidden || !mark || !spot) return;
    const turn = ++this.#asked;
    try {
      const clap = /** @type {ClapView} */ (await ask("/api/clap", { rec: this.choice.files, spot: spot.id, seconds: mark.seconds }));
      if (turn !== this.#asked) return;
      this.clap = clap;
      this.#paintPair();
    } catch (error) {
      this.pair.hidden = true;
      this.desk.say(error);
    }
  }

  #paintPair() {
    const { clap } = this;
    if (!clap) return;
    const half = halfViews[this.halfIndex] ?? 10;
    drawOverlay(this.before, clap, "before", Math.max(half, Math.min(Math.abs(clap.delaySamples) * 1.15, 1200)));
    drawOverlay(this.after, clap, "after", half);
    this.clapTitle.textContent = `${clap.spot}, clap at ${clap.seconds.toFixed(3)} s`;
    this.clapText.textContent = `As recorded the spot is ${fixed(Math.abs(clap.delaySamples), 1)} samples (${fixed((Math.abs(clap.delaySamples) / clap.rateHz) * 1000, 2)} ms) ${clap.delaySamples >= 0 ? "ahead of" : "behind"} the array.`;
    this.pair.dataset.drawn = clap.spot;
  }

  /** @param {boolean} isAligned */
  async #hear(isAligned) {
    if (!this.clap) return;
    try { await hearClap(this.choice.files, this.clap, isAligned); } catch (error) { this.desk.say(error); }
  }
}
