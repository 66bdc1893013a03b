// @ts-check
/** @import { Desk } from "./desk.js" @import { JobState } from "./types.js" */
import { h } from "./dom.js";
import { commandText } from "./words.js";

const shownEnded = 2;

/** The slip at the foot of every page: the command as one could type it, what runs, and what was said. @param {Desk} desk @param {HTMLElement} place */
export function slip(desk, place) {
  const text = h("code", { class: "command", tabIndex: 0 });
  const copied = h("span", { class: "quiet", role: "status" });
  const copy = h("button", { type: "button", class: "plain", onclick: () => void copyText(text, copied) }, "Copy");
  const run = h("button", { type: "button", class: "do", id: "run", onclick: () => { if (desk.order) void desk.run(desk.order); } }, "Run");
  const line = h("div", { class: "order" }, text, copied, copy, run);
  const jobs = h("ul", { class: "jobs", "aria-label": "Work" });
  const news = h("p", { class: "visually-hidden", role: "status", "aria-live": "polite" });
  place.append(line, jobs, news);

  const showOrder = () => {
    line.hidden = desk.order === null;
    place.classList.toggle("empty", desk.order === null && jobs.childElementCount === 0);
    copied.textContent = "";
    if (desk.order) text.textContent = commandText(desk.order, desk.state.sessionFile);
  };
  const showJobs = () => {
    const running = desk.state.jobs.filter((j) => j.exitCode === null);
    const ended = desk.state.jobs.filter((j) => j.exitCode !== null).slice(-shownEnded);
    jobs.replaceChildren(...(desk.refusal ? [h("li", { class: "job refused", "data-refusal": "true" }, desk.refusal)] : []),
      ...running.map((job) => runningItem(desk, job)), ...ended.reverse().map((job) => endedItem(job)));
    place.classList.toggle("empty", desk.order === null && jobs.childElementCount === 0);
    news.textContent = running.length > 0 ? "" : ended[0] ? `${ended[0].order.command}: ${verdict(ended[0])}` : "";
    document.body.dataset.jobs = running.length > 0 ? "running" : "idle";
    document.body.dataset.done = String(desk.state.jobs.filter((j) => j.exitCode !== null).length);
  };
  desk.addEventListener("order", showOrder);
  desk.addEventListener("jobs", showJobs);
  desk.addEventListener("state", () => { showOrder(); showJobs(); });
  showOrder();
}

/** @param {HTMLElement} from @param {HTMLElement} said */
async function copyText(from, said) {
  try {
    await navigator.clipboard.writeText(from.textContent ?? "");
    said.textContent = "copied";
  } catch {
    getSelection()?.selectAllChildren(from);
    said.textContent = "press Ctrl-C";
  }
}

/** @param {Desk} desk @param {JobState} job */
function runningItem(desk, job) {
  const left = job.secondsLeft === null ? "" : job.secondsLeft < 1 ? "about to end" : `about ${Math.ceil(job.secondsLeft)} s left`;
  return h("li", { class: "job", "data-job": job.id, "data-state": "running" },
    h("span", {}, `${job.order.command}: ${job.isStopping ? "stopping" : job.doing}`),
    h("progress", { max: 1, value: job.share, "aria-label": `${job.order.command}, how far` }),
    h("span", { class: "quiet" }, left),
    h("button", { type: "button", class: "plain", onclick: () => void desk.stop(job.id) }, "Stop"));
}

/** @param {JobState} job */
const verdict = (job) => job.exitCode === 0 ? "done" : job.exitCode === 1 ? "done, but look" : "not done";

/** @param {JobState} job */
function endedItem(job) {
  const said = job.exitCode === 2 ? [String(job.result?.error?.message ?? job.said.at(-1) ?? "")] : job.said.map((s) => s.replace(/^warning: /, ""));
  const head = h("span", {}, `${job.order.command}: ${verdict(job)}`, job.seconds === null ? "" : ` · ${job.seconds.toFixed(1)} s`);
  return h("li", { class: `job ended exit${job.exitCode}`, "data-job": job.id, "data-state": "ended", "data-exit": job.exitCode },
    said.length === 0 ? head : said.length === 1 ? h("span", {}, head, h("span", { class: "said" }, said[0]))
      : h("details", {}, h("summary", {}, head), h("ul", {}, said.map((s) => h("li", {}, s)))));
}
