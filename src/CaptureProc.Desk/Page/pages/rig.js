// @ts-check
/** @import { Desk } from "../desk.js" @import { Page } from "../app.js" @import { CapsuleArray, CommandOption, CommandOrder } from "../types.js" @import { Group } from "../groups.js" */
import { h } from "../dom.js";
import { chooseSession } from "../api.js";
import { Choice } from "../recordings.js";
import { arrayPicture } from "../arraypicture.js";
import { fromTracks, fromSession, channelList, idFrom } from "../groups.js";

const usualPreset = /tetra-15mm-cardioid$|tetra-14\.7mm-cardioid$/;
const corners = /** @type {Record<string, [number, number]>} */ (Object.fromEntries(["F", "B"].flatMap((x) => ["L", "R"].flatMap((y) => ["U", "D"].map((z) => [x + y + z, [(x === "F" ? 45 : 135) * (y === "L" ? 1 : -1), z === "U" ? 35.264 : -35.264]])))));

/** @param {Desk} desk @returns {Page} */
export function open(desk) { return new RigPage(desk); }

class RigPage {
  /** @type {Group[]} */ groups = [];
  #basis = "";

  /** @param {Desk} desk */
  constructor(desk) {
    this.desk = desk;
    const changed = () => this.#offer();
    this.choice = new Choice(desk, "rig", "Track names from", { commands: ["measure", "level"], names: /slate|take/i });
    this.choice.addEventListener("change", () => this.update());
    this.file = h("input", { type: "text", value: "session.json", onchange: changed });
    this.title = h("input", { type: "text", onchange: changed });
    this.temperature = h("input", { type: "number", min: "-40", max: "60", step: "0.5", value: "20", onchange: changed });
    this.preset = h("select", { onchange: () => { this.#presetMount(); changed(); } });
    this.mount = ["yaw", "pitch", "roll"].map((name) => h("input", { type: "number", min: "-360", max: "360", step: "5", value: "0", "aria-label": `${name}, degrees`, onchange: changed }));
    this.board = h("div", { class: "board" });
    this.picture = h("figure", { class: "array-figure" });
    this.sessions = h("p", {});
    this.words = h("p", { class: "quiet" });
    this.element = h("div", { class: "page rig", "data-state": "opening" },
      h("div", { class: "bar" }, this.choice.element, h("button", { type: "button", class: "plain", id: "undo-session", onclick: () => void this.#undo() }, "Take the last change of the session back")), this.sessions,
      h("section", { class: "card" }, h("h2", {}, "Who is on which channel"), this.words, this.board),
      h("div", { class: "columns" },
        h("section", { class: "card" }, h("h2", {}, "The array"), h("div", { class: "fields" }, h("label", {}, "Geometry", this.preset)), h("fieldset", { class: "mount" }, h("legend", {}, "Turned by yaw, pitch, roll, in degrees; 0, 0, 180 hangs head down"), ...this.mount), this.picture,
          h("p", { class: "quiet" }, "What hangs over heads is rigged by people who are allowed to, with a second line; the rules of the house come first.")),
        h("section", { class: "card" }, h("h2", {}, "The session"), h("div", { class: "fields" },
          h("label", { class: "for-start" }, "File", this.file), h("label", {}, "Title", this.title), h("label", { class: "for-start" }, "Air, °C", this.temperature)))));
  }

  update() {
    const { session, state } = { session: this.desk.session, state: this.desk.state };
    this.choice.update();
    const basis = session ? JSON.stringify([session.arrays, session.spots.map((s) => [s.id, s.channels]), session.title]) : this.choice.files.join("\n") + state.presets.length;
    if (basis !== this.#basis) {
      this.#basis = basis;
      this.groups = session ? fromSession(session) : fromTracks(this.choice.tracks);
      const names = session ? ["", ...state.presets.map((p) => p.name)] : state.presets.map((p) => p.name);
      this.preset.replaceChildren(...names.map((n) => h("option", { value: n, selected: !session && usualPreset.test(n) }, n || "as it is")));
      this.title.value = session?.title ?? "";
      const mount = session?.arrays[0]?.mount;
      [mount?.yawDeg, mount?.pitchDeg, mount?.rollDeg].forEach((deg, i) => { const input = this.mount[i]; if (input) input.value = String(deg ?? 0); });
    }
    this.element.classList.toggle("starting", !session);
    this.words.textContent = session ? "Drag a channel to another place, or move it with the arrow keys. What has to be measured anew is said after the change."
      : "Drag every channel to where it belongs, or move it with the arrow keys; then run, and the session is there.";
    this.sessions.replaceChildren(...(!session && state.sessions.length > 0 ? ["There is a session here already: ", ...state.sessions.map((file) => h("button", { type: "button", class: "plain", onclick: () => void chooseSession(file).catch((e) => this.desk.say(e)) }, `Open ${file}`))] : []), state.problem ?? "");
    this.sessions.hidden = this.sessions.textContent === "";
    this.#draw();
    this.element.dataset.state = "ready";
  }

  #draw() {
    const tracks = this.choice.tracks;
    const count = Math.max(tracks.length, ...this.groups.flatMap((g) => g.channels));
    const unused = Array.from({ length: Number.isFinite(count) ? count : 0 }, (_, i) => i + 1).filter((c) => !this.groups.some((g) => g.channels.includes(c)));
    this.board.replaceChildren(...this.groups.map((group, i) => this.#card(group, i)),
      this.#zone("new-spot", "A new spot", [], (channel) => this.#move(channel, "new")), this.#zone("unused", "Not used", unused, (channel) => this.#move(channel, "none")));
    this.#offer();
  }

  /** @param {Group} group @param {number} index */
  #card(group, index) {
    const name = h("input", { type: "text", value: group.id, "aria-label": group.kind === "array" ? "name of the array" : "name of the spot", onchange: () => { group.id = idFrom(name.value) || group.id; this.#offer(); } });
    const zone = this.#zone(`group-${index}`, name, group.channels, (channel) => this.#move(channel, index));
    zone.classList.add(group.kind);
    if (group.kind === "spot") zone.append(h("button", { type: "button", class: "link", "aria-label": `Remove ${group.id}`, onclick: () => { this.groups.splice(index, 1); this.#draw(); } }, "remove"));
    return zone;
  }

  /** @param {string} id @param {string | HTMLElement} title @param {number[]} channels @param {(channel: number) => void} take */
  #zone(id, title, channels, take) {
    const zone = h("div", { class: "zone", "data-zone": id, role: "group",
      ondragover: (/** @type {DragEvent} */ e) => { e.preventDefault(); zone.classList.add("over"); }, ondragleave: () => zone.classList.remove("over"),
      ondrop: (/** @type {DragEvent} */ e) => { e.preventDefault(); zone.classList.remove("over"); const channel = Number(e.dataTransfer?.getData("text/plain")); if (channel > 0) take(channel); } },
    h("div", { class: "zone-head" }, title), h("div", { class: "chips" }, channels.map((c) => this.#chip(c))));
    return zone;
  }

  /** @param {number} channel */
  #chip(channel) {
    const track = this.choice.tracks[channel - 1];
    return h("button", { type: "button", class: "chip", draggable: true, "data-channel": channel, "aria-label": `Channel ${channel}${track ? `, ${track}` : ""}: arrow keys move it`,
      ondragstart: (/** @type {DragEvent} */ e) => e.dataTransfer?.setData("text/plain", String(channel)),
      onkeydown: (/** @type {KeyboardEvent} */ e) => { if (e.key === "ArrowRight" || e.key === "ArrowLeft") { e.preventDefault(); this.#step(channel, e.key === "ArrowRight" ? 1 : -1); } } }, h("b", {}, channel), track ? ` ${track}` : "");
  }

  /** @param {number} channel @param {number} by */
  #step(channel, by) {
    const now = this.groups.findIndex((g) => g.channels.includes(channel));
    const places = this.groups.length + 2;
    const to = ((now < 0 ? this.groups.length + 1 : now) + by + places) % places;
    this.#move(channel, to < this.groups.length ? to : to === this.groups.length ? "new" : "none");
    /** @type {HTMLElement | null} */ (this.board.querySelector(`[data-channel="${channel}"]`))?.focus();
  }

  /** @param {number} channel @param {number | "new" | "none"} to */
  #move(channel, to) {
    const target = typeof to === "number" ? this.groups[to] : null;
    for (const group of this.groups) group.channels = group.channels.filter((c) => c !== channel);
    if (target) target.channels.push(channel);
    else if (to === "new") this.groups.push({ kind: "spot", id: idFrom(this.choice.tracks[channel - 1] ?? "") || `spot ${channel}`, was: null, channels: [channel] });
    this.groups = this.groups.filter((g) => g.channels.length > 0 || g === target || g.kind === "array");
    this.#draw();
  }

  #presetMount() {
    const preset = this.desk.state.presets.find((p) => p.name === this.preset.value);
    const roll = this.mount[2];
    if (preset && roll) roll.value = String(preset.rollDeg);
  }

  #offer() {
    const { session } = this.desk;
    this.desk.offer(session ? this.#change() : this.#start());
    const preset = this.desk.state.presets.find((p) => p.name === this.preset.value);
    const array = this.groups.find((g) => g.kind === "array");
    const own = session?.arrays.find((a) => a.id === array?.was);
    const capsules = preset ? preset.capsules.map((label) => ({ label, azimuthDeg: corners[label]?.[0] ?? 0, elevationDeg: corners[label]?.[1] ?? 0 })) : own?.capsules ?? [];
    const [yawDeg, pitchDeg, rollDeg] = this.#turn();
    /** @type {CapsuleArray} */
    const drawn = { id: array?.id ?? "array", channels: array?.channels ?? [], capsules, radiusMm: 0, pattern: 0, mount: { yawDeg, pitchDeg, rollDeg }, trimSets: [], activeTrim: null };
    this.picture.replaceChildren(/** @type {any} */ (arrayPicture(drawn, capsules.map((_, i) => ({ text: String(array?.channels[i] ?? "?"), mood: "" })))), h("figcaption", {}, preset?.description ?? (own ? `radius ${own.radiusMm} mm, pattern ${own.pattern}` : "")));
  }

  /** @returns {[number, number, number]} */
  #turn() { return /** @type {[number, number, number]} */ (this.mount.map((input) => Number(input.value) || 0)); }

  /** @returns {CommandOrder | null} */
  #start() {
    const used = this.groups.filter((g) => g.channels.length > 0);
    if (used.length === 0 || !this.file.value) return null;
    /** @type {CommandOption[]} */
    const options = this.choice.files.map((file) => ({ name: "--recording", value: file }));
    if (this.title.value) options.push({ name: "--title", value: this.title.value });
    if (this.temperature.value !== "20") options.push({ name: "--temperature", value: this.temperature.value });
    for (const g of used) options.push({ name: g.kind === "array" ? "--array" : "--spot", value: `${g.id}=${channelList(g.channels)}` });
    const main = used.find((g) => g.kind === "array");
    if (main) options.push({ name: "--preset", value: `${main.id}=${this.preset.value}` });
    const preset = this.desk.state.presets.find((p) => p.name === this.preset.value);
    const [yaw, pitch, roll] = this.#turn();
    if (main && (yaw !== 0 || pitch !== 0 || roll !== (preset?.rollDeg ?? 0))) options.push({ name: "--mount", value: `${main.id}=${yaw},${pitch},${roll}` });
    return { command: "start", inputs: [], output: this.file.value, options };
  }

  /** What differs from the session, as options of the command that changes a rig. @returns {CommandOrder | null} */
  #change() {
    const { session } = this.desk;
    if (!session) return null;
    const before = fromSession(session);
    /** @type {CommandOption[]} */
    const options = before.filter((b) => !this.groups.some((g) => g.was === b.id)).map((b) => ({ name: "--remove", value: b.id }));
    for (const group of this.groups) {
      const was = before.find((b) => b.id === group.was);
      if (was && was.id !== group.id) options.push({ name: "--rename", value: `${was.id}=${group.id}` });
      if (group.channels.length > 0 && (!was || was.channels.join() !== group.channels.join())) options.push({ name: group.kind === "array" ? "--array" : "--spot", value: `${group.id}=${channelList(group.channels)}` });
    }
    const main = session.arrays[0];
    if (main && this.preset.value) options.push({ name: "--preset", value: `${main.id}=${this.preset.value}` });
    const turn = this.#turn();
    if (main && turn.join() !== [main.mount.yawDeg, main.mount.pitchDeg, main.mount.rollDeg].join()) options.push({ name: "--mount", value: `${main.id}=${turn.join(",")}` });
    if (this.title.value !== (session.title ?? "") && this.title.value) options.push({ name: "--title", value: this.title.value });
    return options.length > 0 ? { command: "rig", inputs: [], options } : null;
  }

  async #undo() {
    if (this.desk.session) await this.desk.run({ command: "rig", inputs: [], options: [{ name: "--undo" }] });
  }
}
