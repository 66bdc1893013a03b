// @ts-check
/** @import { Desk } from "../desk.js" @import { Page } from "../app.js" @import { CapsuleArray, CommandOption } from "../types.js" */
import { h, fixed } from "../dom.js";
import { Choice } from "../recordings.js";
import { arrayPicture } from "../arraypicture.js";

/** @param {Desk} desk @returns {Page} */
export function open(desk) { return new PatchPage(desk); }

class PatchPage {
  way = "taps";

  /** @param {Desk} desk */
  constructor(desk) {
    this.desk = desk;
    this.choice = new Choice(desk, "patch", "Recording", { commands: ["patch"], names: /tap|patch/i });
    this.choice.addEventListener("change", () => this.update());
    this.claps = h("input", { type: "text", value: "front,left,up", "aria-label": "Directions of the claps, in their order", onchange: () => this.update() });
    this.verdict = h("p", { class: "verdict", role: "status" });
    this.picture = h("figure", { class: "array-figure" });
    this.list = h("tbody", {});
    this.findings = h("ul", { class: "findings" });
    this.ways = h("fieldset", { class: "ways" }, h("legend", {}, "What was done"), [
      ["taps", "one tap close to each capsule, in the order of the session"], ["claps", "one clap from each of these directions"], ["ambience", "nothing: any sound of the room; tells polarity, not order"],
    ].map(([value, text]) => h("label", { class: "check" }, h("input", { type: "radio", name: "way", value: value ?? "", checked: value === this.way, onchange: () => { this.way = value ?? "taps"; this.update(); } }), text ?? "")), this.claps);
    this.element = h("div", { class: "page patch", "data-state": "opening" }, h("div", { class: "bar" }, this.choice.element),
      h("section", { class: "card" }, h("h2", {}, "Which capsule is on which channel"), this.ways),
      h("section", { class: "card" }, this.verdict, h("div", { class: "two" }, this.picture, h("div", {}, h("table", {},
        h("thead", {}, h("tr", {}, ["channel", "in the session", "heard", "polarity"].map((t) => h("th", { scope: "col" }, t)))), this.list), this.findings))));
  }

  update() {
    this.choice.update();
    const { session } = this.desk;
    const array = session?.arrays[0];
    this.claps.hidden = this.way !== "claps";
    /** @type {CommandOption[]} */
    const options = this.way === "claps" ? [{ name: "--claps", value: this.claps.value }] : this.way === "ambience" ? [{ name: "--ambience" }] : [];
    this.desk.offer(session && this.choice.files.length > 0 ? { command: "patch", inputs: this.choice.files, options } : null);
    if (array) this.#draw(array);
    this.element.dataset.state = "ready";
  }

  /** @param {CapsuleArray} array */
  #draw(array) {
    const check = array.patch;
    this.verdict.className = `verdict ${!check ? "" : check.ok ? "good" : "look"}`;
    this.verdict.textContent = !check ? "Not checked yet. A swapped pair mirrors the image, and nothing else tells." : check.ok ? "Order and polarity are right." : "This patch needs a look.";
    const heard = array.channels.map((_, i) => check?.order?.[i] ?? null);
    const state = array.capsules.map((capsule, i) => (heard[i] === null ? "unknown" : heard[i] === capsule.label ? "right" : "wrong"));
    this.picture.replaceChildren(/** @type {any} */ (arrayPicture(array, array.capsules.map((capsule) => {
      const at = heard.indexOf(capsule.label);
      const own = array.capsules.indexOf(capsule);
      return { text: String(array.channels[at >= 0 ? at : own] ?? ""), mood: at < 0 ? "" : at === own && check?.polarity?.[at] !== -1 ? "good" : "look" };
    }))), h("figcaption", {}, check ? "the channel that was heard on each capsule" : "as the session has it"));
    this.list.replaceChildren(...array.channels.map((channel, i) => h("tr", { class: state[i] === "wrong" ? "missing" : "" }, h("th", { scope: "row" }, channel), h("td", {}, array.capsules[i]?.label ?? ""),
      h("td", {}, heard[i] ?? "–"), h("td", {}, check?.polarity ? (check.polarity[i] === -1 ? "inverted" : "upright") : "–"))));
    this.findings.replaceChildren(...(check?.problems ?? []).map((p) => h("li", {}, p)), check ? h("li", { class: "quiet" }, `confidence ${check.confidence > 0.995 && check.confidence < 1 ? "> 0.99" : fixed(check.confidence, 2)}`) : "");
  }
}
