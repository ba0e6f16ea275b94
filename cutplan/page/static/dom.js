// Elements from plain values: text is always text, never markup.

export function h(tag, attrs = {}, ...inside) {
  const el = document.createElement(tag);
  put(el, attrs, inside);
  return el;
}

const SVG = "http://www.w3.org/2000/svg";

export function s(tag, attrs = {}, ...inside) {
  const el = document.createElementNS(SVG, tag);
  put(el, attrs, inside);
  return el;
}

function put(el, attrs, inside) {
  for (const [key, value] of Object.entries(attrs)) {
    if (value === null || value === undefined || value === false) continue;
    if (key.startsWith("on")) el.addEventListener(key.slice(2), value);
    else if (key === "value") { el.value = value; if (el.tagName === "INPUT") el.defaultValue = value; }
    else if (key === "checked") el.checked = Boolean(value);
    else el.setAttribute(key, value === true ? "" : String(value));
  }
  el.append(...inside.flat(3).filter((c) => c !== null && c !== undefined && c !== false && c !== ""));
}

export function fill(el, ...inside) {
  el.replaceChildren(...inside.flat(3).filter((c) => c !== null && c !== undefined && c !== false && c !== ""));
  return el;
}

let count = 0;
export const fresh = (stem) => `${stem}-${(count += 1)}`;

export function button(text, act, attrs = {}) {
  return h("button", { type: "button", onclick: act, ...attrs }, text);
}

// One line told to everybody: shown for a while and read out.
let timer = 0;
export function tell(text, bad = false) {
  const said = document.getElementById("said");
  said.textContent = text;
  said.className = bad ? "bad" : "good";
  clearTimeout(timer);
  if (text) timer = setTimeout(() => { said.textContent = ""; said.className = ""; }, bad ? 6500 : 3000);
}
