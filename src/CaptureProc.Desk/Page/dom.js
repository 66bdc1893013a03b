// @ts-check
/** Makes elements. Text is always text: nothing that comes from a file name or a session is ever read as markup. */

/**
 * @template {keyof HTMLElementTagNameMap} K
 * @param {K} tag
 * @param {Record<string, any>} [props] Properties; `on…` are listeners, `data-…`, `aria-…`, `role`, `for` and the like attributes.
 * @param {...(Node | string | number | null | undefined | false | (Node | string | null | undefined | false)[])} children
 * @returns {HTMLElementTagNameMap[K]}
 */
export function h(tag, props = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(props)) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (name.includes("-") || attributes.has(name)) element.setAttribute(name, value === true ? "" : String(value));
    else if (name === "class") element.className = value;
    else Reflect.set(element, name, value);
  }
  for (const child of children.flat())
    if (child !== null && child !== undefined && child !== false) element.append(child instanceof Node ? child : String(child));
  return element;
}

const attributes = new Set(["role", "for", "scope", "list", "colspan"]);
const svgSpace = "http://www.w3.org/2000/svg";

/**
 * @param {string} tag
 * @param {Record<string, string | number | null | undefined>} [props]
 * @param {...(Node | string)} children
 * @returns {SVGElement}
 */
export function svg(tag, props = {}, ...children) {
  const element = document.createElementNS(svgSpace, tag);
  for (const [name, value] of Object.entries(props)) if (value !== null && value !== undefined) element.setAttribute(name, String(value));
  element.append(...children);
  return element;
}

/** @param {number | null | undefined} value @param {number} digits */
export const fixed = (value, digits) => (value === null || value === undefined || !Number.isFinite(value) ? "–" : value.toFixed(digits).replace("-", "−"));

/** @param {number | null | undefined} value @param {number} digits */
export const signed = (value, digits) => (value === null || value === undefined ? "–" : (value > 0 ? "+" : "") + fixed(value, digits));

/** Minutes and seconds, as people say them. @param {number} seconds @param {number} [digits] */
export function clock(seconds, digits = 1) {
  const minutes = Math.floor(seconds / 60);
  const rest = (seconds - 60 * minutes).toFixed(digits);
  return minutes > 0 ? `${minutes}:${rest.padStart(digits > 0 ? 3 + digits : 2, "0")}` : `${rest} s`;
}

/** The colour that a style sheet gives to a name. @param {string} name */
export const colour = (name) => getComputedStyle(document.documentElement).getPropertyValue(`--${name}`).trim();
