// @ts-check
/** @import { Desk } from "../desk.js" @import { Page } from "../app.js" */
import { h } from "../dom.js";
/** @param {Desk} desk @returns {Page} */
export function open(desk) { return { element: h("div", { class: "page" }, desk.state.folder), update() {} }; }
