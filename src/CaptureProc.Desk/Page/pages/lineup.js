// @ts-check
/** @import { Desk } from "../desk.js" @import { Page } from "../app.js" @import { CommandOption, SpectraView, TrimSet } from "../types.js" */
import { h, svg, fixed, signed } from "../dom.js";
import { ask } from "../api.js";
import { Choice } from "../recordings.js";
import { chart, ticks, octaveTicks } from "../plot.js";

/** @typedef {{ channel: number, label: string, errorDb: number, uncertaintyDb: number, levelDb: number | null, crestDb: number | null, peakDb: number | null, problem: string | null }} Row */

const usualToleranceDb = 0.1;
const tints = ["var(--spot-3)", "var(--spot-5)", "var(--spot-4)", "var(--spot-1)"];

/** @param {Desk} desk @returns {Page} */
export function open(desk) { return new LineUpPage(desk); }

class LineUpPage {
  #asked = "";
  /** @type {SpectraView | null} */ spectra = null;

  /** @param {Desk} desk */
  constructor(desk) {
    this.desk = desk;
    this.choice = new Choice(desk, "line-up", "Noise", { commands: ["level"], names: /line-?up|noise|pink/i });
    this.choice.addEventListener("change", () => this.update());
    this.tolerance = h("input", { type: "number", min: "0.001", max: "6", step: "0.01", value: String(usualToleranceDb), onchange: () => this.update() });
    this.diffuse = h("input", { type: "checkbox", onchange: () => this.update() });
    this.verdict = h("p", { class: "verdict", role: "status" });
    this.gains = h("div", {});
    this.table = h("tbody", {});
    this.findings = h("ul", { class: "findings" });
    this.plots = h("div", { class: "two" });
    this.element = h("div", { class: "page lineup", "data-state": "opening" },
      h("div", { class: "bar" }, this.choice.element, h("label", { class: "check" }, "within, dB", this.tolerance), h("label", { class: "check" }, this.diffuse, "a microphone in a room, sound from all round")),
      h("section", { class: "card" }, h("h2", {}, "Four gains"), this.verdict, this.gains, this.findings,
        h("div", { class: "scroll", tabIndex: 0, role: "region", "aria-label": "Channels" }, h("table", {}, h("thead", {}, h("tr", {}, ["channel", "level", "off by", "add", "crest", "headroom", ""].map((t) => h("th", { scope: "col" }, t)))), this.table))),
      h("section", { class: "card spectra" }, h("h2", {}, "Third octaves, against the mean of the four"), this.plots,
        h("p", { class: "quiet" }, "Test noise is loud and can harm ears and loudspeakers: feed it by cable, begin low, with monitors turned down.")));
  }

  update() {
    this.choice.update();
    /** @type {CommandOption[]} */
    const options = [];
    const tolerance = Number(this.tolerance.value) || usualToleranceDb;
    if (tolerance !== usualToleranceDb) options.push({ name: "--tolerance", value: String(tolerance) });
    if (this.diffuse.checked) options.push({ name: "--diffuse" });
    this.desk.offer(this.desk.session && this.choice.files.length > 0 ? { command: "level", inputs: this.choice.files, options } : null);
    this.#draw(tolerance);
    void this.#readSpectra();
  }

  /** What the last line-up of this tab said, else what the session keeps of it. @returns {{ rows: Row[], said: string[], within: boolean | null, reference: number | null }} */
  #rows() {
    const array = this.desk.session?.arrays[0];
    const job = this.desk.state.jobs.findLast((j) => j.order.command === "level" && j.exitCode !== null && j.result?.channels);
    const label = (/** @type {number} */ channel) => array?.capsules[array.channels.indexOf(channel)]?.label ?? "";
    if (job) {
      const result = /** @type {{ within: boolean, reference: number, channels: any[], problems?: string[], notes?: string[] }} */ (job.result);
      return {
        rows: result.channels.map((c) => ({ channel: c.channel, label: label(c.channel), errorDb: c.gainErrorDb, uncertaintyDb: c.uncertaintyDb, levelDb: c.levelDb, crestDb: c.crestDb, peakDb: c.peakDb ?? (c.levelDb !== null && c.crestDb !== null ? c.levelDb + c.crestDb : null), problem: c.problem })),
        said: [...(result.problems ?? []), ...(result.notes ?? [])], within: result.within, reference: result.reference,
      };
    }
    /** @type {TrimSet | undefined} */
    const set = array?.trimSets.find((t) => t.name === array.activeTrim) ?? array?.trimSets[0];
    return {
      rows: array && set ? array.channels.map((channel, i) => ({ channel, label: label(channel), errorDb: -(set.db[i] ?? 0), uncertaintyDb: set.uncertaintyDb?.[i] ?? 0, levelDb: null, crestDb: null, peakDb: null, problem: null })) : [],
      said: [], within: null, reference: null,
    };
  }

  /** @param {number} toleranceDb */
  #draw(toleranceDb) {
    const { rows, said, within } = this.#rows();
    this.verdict.className = `verdict ${within === true ? "good" : within === false ? "look" : ""}`;
    this.verdict.textContent = rows.length === 0 ? "Not lined up yet: record pink noise through all four inputs, choose it above, and run."
      : within === null ? "As the session keeps it; run to see all that the noise tells." : within ? `All within ${toleranceDb} dB.` : `Not all within ${toleranceDb} dB, or not to be told; the trims put right what is stored.`;
    this.gains.replaceChildren(...(rows.length > 0 ? [gainPicture(rows, toleranceDb)] : []));
    this.findings.replaceChildren(...[...rows.flatMap((r) => (r.problem ? [`Channel ${r.channel}: ${r.problem}`] : [])), ...said].map((s) => h("li", {}, s)));
    this.table.replaceChildren(...rows.map((r) => h("tr", {}, h("th", { scope: "row" }, `${r.channel} ${r.label}`), h("td", {}, r.levelDb === null ? "" : `${fixed(r.levelDb, 2)} dBFS`),
      h("td", {}, `${signed(r.errorDb, 3)} ± ${fixed(Math.max(r.uncertaintyDb, 0.001), 3)} dB`), h("td", {}, `${signed(-r.errorDb, 2)} dB`), h("td", {}, r.crestDb === null ? "" : `${fixed(r.crestDb, 1)} dB`),
      h("td", {}, r.peakDb === null ? "" : `${fixed(-r.peakDb, 1)} dB`), h("td", {}, Math.abs(r.errorDb) <= toleranceDb ? "within" : "out"))));
  }

  async #readSpectra() {
    const key = `${this.choice.files.join("\n")}|${this.desk.session?.arrays[0]?.activeTrim}|${JSON.stringify(this.desk.session?.arrays[0]?.trimSets ?? [])}`;
    if (key !== this.#asked && this.desk.session && this.choice.files.length > 0) {
      this.#asked = key;
      try {
        this.spectra = /** @type {SpectraView} */ (await ask("/api/spectra", { rec: this.choice.files }));
      } catch (error) {
        this.spectra = null;
        this.desk.say(error);
      }
      this.#drawSpectra();
    }
    this.element.dataset.state = "ready";
  }

  #drawSpectra() {
    const { spectra } = this;
    if (!spectra) { this.plots.replaceChildren(); return; }
    const meanTrim = spectra.trimDb.reduce((a, b) => a + b, 0) / spectra.trimDb.length;
    const lines = (/** @type {boolean} */ isTrimmed) => spectra.deviationDb.map((levels, c) => ({
      tint: tints[c % tints.length] ?? "", dash: ["", "7 3", "2 3", "9 3 2 3"][c % 4],
      points: /** @type {[number, number][]} */ (levels.map((db, band) => [spectra.centreHz[band] ?? 0, Number(db) + (isTrimmed ? (spectra.trimDb[c] ?? 0) - meanTrim : 0)]).filter(([, db]) => Number.isFinite(db))),
    }));
    const reach = Math.max(0.3, ...lines(false).flatMap((l) => l.points.map(([, db]) => Math.abs(db)))) * 1.15;
    const step = reach > 3 ? 2 : reach > 1 ? 0.5 : 0.1;
    const range = /** @type {[number, number]} */ ([-Math.ceil(reach / step) * step, Math.ceil(reach / step) * step]);
    const plot = (/** @type {boolean} */ isTrimmed) => h("figure", {}, /** @type {any} */ (chart({
      label: `${isTrimmed ? "With" : "Without"} trims: level of the four channels in third octaves`, x: [spectra.centreHz[0] ?? 20, spectra.centreHz.at(-1) ?? 20000], y: range, isLogX: true,
      xTicks: octaveTicks, yTicks: ticks(range[0], range[1], step, 1), band: [-usualToleranceDb, usualToleranceDb], lines: lines(isTrimmed),
    })), h("figcaption", {}, isTrimmed ? "with the trims in use" : "as recorded"));
    this.plots.replaceChildren(plot(false), plot(true), h("p", { class: "legend-row" }, spectra.channels.map((channel, c) => {
      const swatch = h("span", { class: "swatch" });
      swatch.style.background = tints[c % tints.length] ?? "";
      return h("span", {}, swatch, ` ${channel} ${this.desk.session?.arrays[0]?.capsules[c]?.label ?? ""}  `);
    })));
  }
}

/** Each gain as a dot in its interval, on a band of what passes. @param {Row[]} rows @param {number} toleranceDb */
function gainPicture(rows, toleranceDb) {
  const reach = Math.max(toleranceDb * 2, ...rows.map((r) => Math.abs(r.errorDb) + r.uncertaintyDb)) * 1.15;
  const [width, row, left] = [640, 34, 96];
  const height = rows.length * row + 26;
  const x = (/** @type {number} */ db) => left + ((db + reach) / (2 * reach)) * (width - left - 12);
  const picture = svg("svg", { viewBox: `0 0 ${width} ${height}`, class: "chart", role: "img", "aria-label": `Gains against the reference: ${rows.map((r) => `channel ${r.channel} ${signed(r.errorDb, 2)} dB`).join(", ")}` });
  picture.append(svg("rect", { x: x(-toleranceDb), width: x(toleranceDb) - x(-toleranceDb), y: 4, height: height - 26, class: "band" }));
  for (const db of [-toleranceDb, 0, toleranceDb]) picture.append(svg("line", { x1: x(db), x2: x(db), y1: 4, y2: height - 22, class: "grid" }));
  for (const [db, text] of /** @type {[number, string][]} */ ([[-reach, signed(-reach, 1)], [0, "0"], [reach, `${signed(reach, 1)} dB`]]))
    picture.append(svg("text", { x: x(db), y: height - 6, "text-anchor": db < 0 ? "start" : db > 0 ? "end" : "middle" }, text));
  rows.forEach((r, i) => {
    const y = 4 + (i + 0.5) * row;
    const isIn = Math.abs(r.errorDb) <= toleranceDb;
    picture.append(svg("text", { x: 4, y: y + 4 }, `${r.channel}  ${r.label}`),
      svg("line", { x1: x(r.errorDb - r.uncertaintyDb), x2: x(r.errorDb + r.uncertaintyDb), y1: y, y2: y, class: isIn ? "in" : "out", "stroke-width": 9, "stroke-opacity": 0.35 }),
      svg("circle", { cx: x(r.errorDb), cy: y, r: 6, class: isIn ? "in" : "out" }));
  });
  return picture;
}
