// @ts-check
/** @import { Desk } from "../desk.js" @import { Page } from "../app.js" @import { CommandOption, CommandOrder, LoudnessView } from "../types.js" */
import { h, fixed } from "../dom.js";
import { ask } from "../api.js";
import { Choice } from "../recordings.js";
import { chart, ticks } from "../plot.js";

const containers = [["ambix", "AmbiX WAV"], ["fuma", "FuMa WAV"], ["bw64", "BW64 with ADM"], ["opus", "Opus"], ["mp4", "MP4"], ["mov", "MOV"]];
const endings = /** @type {Record<string, string>} */ ({ ambix: ".wav", fuma: ".wav", bw64: ".wav", opus: ".opus", mp4: ".mp4", mov: ".mov" });

/** @param {Desk} desk @returns {Page} */
export function open(desk) { return new DeliveryPage(desk); }

class DeliveryPage {
  #asked = "";
  what = "deliver";

  /** @param {Desk} desk */
  constructor(desk) {
    this.desk = desk;
    const changed = () => this.update();
    this.choice = new Choice(desk, "mix", "Mix", { commands: ["deliver"], names: /mix/i, channels: (n) => n === 4 || n === 9 || n === 16 });
    this.choice.addEventListener("change", changed);
    this.target = h("input", { type: "number", min: "-70", max: "0", step: "0.5", value: "-23", onchange: changed });
    this.ceiling = h("input", { type: "number", min: "-40", max: "0", step: "0.5", value: "-1", onchange: changed });
    this.keep = h("input", { type: "checkbox", onchange: changed });
    this.name = h("input", { type: "text", value: "delivery", onchange: changed });
    this.report = h("input", { type: "text", value: "report.html", onchange: changed });
    this.boxes = containers.map(([word, label]) => ({ word: word ?? "", box: h("input", { type: "checkbox", checked: word === "ambix", onchange: changed, "data-container": word }), label: label ?? "" }));
    this.plot = h("div", {});
    this.figures = h("dl", { class: "figures" });
    this.results = h("div", {});
    this.reports = h("ul", {});
    const pick = (/** @type {string} */ what, /** @type {string} */ label) => h("button", { type: "button", class: "plain", "data-what": what, onclick: () => { this.what = what; this.update(); } }, label);
    this.element = h("div", { class: "page delivery", "data-state": "opening" },
      h("div", { class: "bar" }, this.choice.element),
      h("section", { class: "card" }, h("h2", {}, "Loudness"), this.plot, this.figures),
      h("div", { class: "columns" },
        h("section", { class: "card" }, h("h2", {}, "Hand over"),
          h("div", { class: "fields" }, h("label", {}, "Integrated loudness, LUFS", this.target), h("label", {}, "True peak at most, dBTP", this.ceiling), h("label", {}, "Name", this.name)),
          h("label", { class: "check" }, this.keep, "leave the level as it is"),
          h("fieldset", { class: "containers" }, h("legend", {}, "As"), this.boxes.map(({ box, label }) => h("label", { class: "check" }, box, label))),
          pick("deliver", "Offer this delivery"), this.results),
        h("section", { class: "card" }, h("h2", {}, "The session on paper"), h("div", { class: "fields" }, h("label", {}, "Name", this.report)), pick("report", "Offer this report"), this.reports)));
  }

  update() {
    this.choice.update();
    this.desk.offer(this.#order());
    this.element.querySelectorAll("[data-what]").forEach((b) => b.setAttribute("aria-pressed", String(b.getAttribute("data-what") === this.what)));
    this.reports.replaceChildren(...this.desk.state.reports.map((file) => h("li", {}, h("a", { href: `/files/${file.split("/").map(encodeURIComponent).join("/")}`, target: "_blank", rel: "noopener" }, file))));
    this.#drawResults();
    void this.#measure();
  }

  /** @returns {CommandOrder | null} */
  #order() {
    if (!this.desk.session) return null;
    if (this.what === "report") return { command: "report", inputs: [], output: this.report.value, options: this.desk.state.reports.includes(this.report.value) ? [{ name: "--replace" }] : [] };
    const mix = this.choice.files[0];
    const chosen = this.boxes.filter(({ box }) => box.checked).map(({ word }) => word);
    if (!mix || chosen.length === 0) return null;
    /** @type {CommandOption[]} */
    const options = chosen.length === 1 && chosen[0] === "ambix" ? [] : chosen.map((word) => ({ name: "--as", value: word }));
    if (!this.keep.checked) options.push({ name: "--loudness", value: this.target.value });
    if (this.ceiling.value !== "-1") options.push({ name: "--ceiling", value: this.ceiling.value });
    const output = chosen.length === 1 ? this.name.value + (endings[chosen[0] ?? ""] ?? "") : this.name.value;
    if (this.desk.state.recordings.some((r) => r.file === output || r.file.startsWith(`${output}.`))) options.push({ name: "--replace" });
    return { command: "deliver", inputs: [mix], output, options };
  }

  #drawResults() {
    const job = this.desk.state.jobs.findLast((j) => j.order.command === "deliver" && j.exitCode !== null && j.exitCode < 2);
    const result = /** @type {{ integratedLufs: number, truePeakDbtp: number, gainDb: number, files: { file: string, container: string }[], problem: string | null } | undefined} */ (job?.result);
    this.results.replaceChildren(...(result ? [h("p", { class: `verdict ${result.problem ? "look" : "good"}` }, `${fixed(result.integratedLufs, 1)} LUFS, true peak ${fixed(result.truePeakDbtp, 1)} dBTP, gain ${fixed(result.gainDb, 2)} dB`),
      h("ul", {}, result.files.map((f) => h("li", {}, `${f.file.split("/").at(-1)}, checked as ${f.container}`)))] : []));
  }

  async #measure() {
    const mix = this.choice.files[0];
    const key = `${mix}|${this.desk.state.jobs.filter((j) => j.exitCode !== null && j.order.output === mix).length}`;
    if (mix && key !== this.#asked) {
      this.#asked = key;
      this.figures.replaceChildren(h("div", {}, h("dt", {}, "integrated"), h("dd", { class: "quiet" }, "listening …")));
      try {
        this.#drawLoudness(/** @type {LoudnessView} */ (await ask("/api/loudness", { mix })));
      } catch (error) {
        this.figures.replaceChildren();
        this.plot.replaceChildren();
        this.desk.say(error);
      }
    } else if (!mix) this.figures.replaceChildren(h("div", {}, h("dt", {}, "No mix is chosen"), h("dd", { class: "quiet" }, "Take writes one: 4, 9 or 16 channels.")));
    this.element.dataset.state = "ready";
  }

  /** @param {LoudnessView} view */
  #drawLoudness(view) {
    const line = (/** @type {(number | null)[]} */ values) => /** @type {[number, number][]} */ (values.flatMap((v, i) => (v === null ? [] : [[(i + 1) * view.stepSeconds, v]])));
    const [momentary, short] = [line(view.momentaryLufs), line(view.shortTermLufs)];
    const seconds = Math.max(1, view.momentaryLufs.length * view.stepSeconds);
    const top = Math.ceil(Math.max(-20, ...momentary.map(([, v]) => v)) / 10) * 10;
    const step = [1, 2, 5, 10, 30, 60, 120, 300, 600].find((s) => seconds / s <= 10) ?? 1200;
    this.plot.replaceChildren(/** @type {any} */ (chart({
      label: `Loudness over ${fixed(seconds, 0)} seconds`, x: [0, seconds], y: [top - 40, top], xTicks: Array.from({ length: Math.floor(seconds / step) + 1 }, (_, i) => [i * step, step >= 60 ? `${(i * step) / 60} min` : `${i * step} s`]),
      yTicks: ticks(top - 40, top, 10, 0), lines: [{ points: momentary, tint: "var(--edge)", width: 1 }, { points: short, tint: "var(--accent)", width: 2.4 }],
      marks: view.integratedLufs === null ? [] : [{ y: view.integratedLufs, tint: "var(--array)" }],
    })), h("p", { class: "quiet" }, "heavy: over 3 s · fine: over 0.4 s · dashed: the whole. Of a stated rendering, for a sound field has no loudness of its own: " + view.rendering));
    const pair = (/** @type {string} */ name, /** @type {string} */ value) => h("div", {}, h("dt", {}, name), h("dd", {}, value));
    this.figures.replaceChildren(pair("integrated", `${fixed(view.integratedLufs, 1)} LUFS`), pair("range", `${fixed(view.rangeLu, 1)} LU`), pair("true peak", `${fixed(view.truePeakDbtp, 1)} dBTP`), pair("highest channel", `${fixed(view.channelTruePeakDbtp, 1)} dBTP`));
    this.element.dataset.measured = String(view.integratedLufs);
  }
}
