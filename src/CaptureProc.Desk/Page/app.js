// @ts-check
import { Desk } from "./desk.js";
import { h } from "./dom.js";
import { slip } from "./slip.js";
import { course } from "./course.js";

/** @typedef {{ element: HTMLElement, update: () => void, close?: () => void }} Page */

const desk = new Desk();
const work = /** @type {HTMLElement} */ (document.getElementById("work"));
const list = /** @type {HTMLElement} */ (document.getElementById("course"));
/** @type {Page | null} */
let page = null;
let shown = "";

/** @returns {string} */
function asked() {
  const name = location.hash.slice(1);
  return course.some((c) => c.name === name) ? name : desk.session ? "slate" : "rig";
}

async function show() {
  const name = asked();
  if (name === shown) return;
  shown = name;
  const stop = course.find((c) => c.name === name);
  if (!stop) return;
  const module = await stop.load();
  if (shown !== name) return;
  page?.close?.();
  desk.offer(null);
  page = module.open(desk);
  work.replaceChildren(page.element);
  work.dataset.page = name;
  document.title = `${stop.title} · ${desk.session?.title ?? desk.state.folder} · CaptureProc`;
  page.update();
  drawCourse();
}

function drawCourse() {
  list.replaceChildren(...course.map((c) => {
    const note = c.note(desk.state);
    return h("li", {}, h("a", { href: `#${c.name}`, "aria-current": c.name === shown ? "page" : null },
      h("span", { class: "name" }, c.title), h("span", { class: `note ${note.mood}` }, note.text)));
  }));
}

function drawHead() {
  /** @type {HTMLElement} */ (document.getElementById("title")).textContent = desk.session?.title ?? desk.state.sessionFile ?? "A new session";
  /** @type {HTMLElement} */ (document.getElementById("where")).textContent =
    desk.session ? `${desk.state.sessionFile} · ${desk.session.sampleRate / 1000} kHz` : `folder ${desk.state.folder}`;
}

desk.addEventListener("state", () => {
  drawHead();
  drawCourse();
  void show().then(() => { page?.update(); document.body.dataset.ready = "true"; });
});
addEventListener("hashchange", () => void show().then(() => work.focus({ preventScroll: true })));
slip(desk, /** @type {HTMLElement} */ (document.getElementById("slip")));
desk.listen();
