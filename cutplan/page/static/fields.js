// One line for each value of the job file: what it says, what is wrong with it, and a change written at once.

import { fresh, h } from "/files/dom.js";
import { about, at, change, dropped, job, setTo } from "/files/store.js";
import { t, word } from "/files/words.js";

// The file that a field is of: the job unless it says otherwise.
const jobFile = { name: "job", at, about, change, units: () => job.data.units };
const raw = (path, of = jobFile) => of.at(path);
const put = (path, value, of) => (of === jobFile ? setTo(path, value) : { do: "set", at: path, value, was: of.at(path) ?? null });
const gone = (path, of) => (of === jobFile ? dropped(path) : { do: "drop", at: path, was: of.at(path) ?? null });

function row(label, control, path, extra = "", of = jobFile) {
  const id = control.id;
  const found = path ? of.about(path) : [];
  const note = found.length ? h("p", { class: `note ${found[0].severity}`, id: `${id}-note` }, found.map((f) => [f.message, f.fix].filter(Boolean).join(": ")).join(" · ")) : null;
  if (note) control.setAttribute("aria-describedby", note.id);
  if (found.some((f) => f.severity === "error")) control.setAttribute("aria-invalid", "true");
  return h("div", { class: "field" }, h("label", { for: id }, label), h("span", { class: "control" }, control, extra ? h("span", { class: "unit", "aria-hidden": "true" }, extra) : null), note);
}

const plainNumber = (text) => /^\s*[-+]?[\d.,]+\s*$/.test(text);

function edited(input, path, label, value, optional, of) {
  const text = input.value.trim();
  const now = raw(path, of);
  if (text === String(now ?? "") || text === input.dataset.sent) return;
  input.dataset.sent = text;
  if (!text && optional) { if (now !== undefined) of.change(() => [gone(path, of)], label); return; }
  if (!text) { input.value = String(now ?? ""); return; }
  of.change(() => [put(path, value(text), of)], label);
}

export function input(path, label, value, { optional = true, placeholder = "", mode = "text", wide = false, of = jobFile } = {}) {
  const el = h("input", {
    id: fresh("f"), type: "text", inputmode: mode, autocomplete: "off", spellcheck: "false", class: wide ? "wide" : "", placeholder,
    value: String(raw(path, of) ?? ""), "data-key": (of === jobFile ? path : [of.name, ...path]).join("."),
    // a field that was built anew while it was typed in fires no change of its own
    onblur: () => { if (el.isConnected) edited(el, path, label, value, optional, of); },
    onkeydown: (e) => { if (e.key === "Enter") edited(el, path, label, value, optional, of); if (e.key === "Escape") { el.value = String(raw(path, of) ?? ""); el.blur(); } },
  });
  return el;
}

export function lengthField(path, label, options = {}) {
  const el = input(path, label, (text) => ({ typed: text }), { mode: "text", ...options });
  const of = options.of || jobFile;
  const now = String(raw(path, of) ?? options.placeholder ?? "");
  return row(label, el, path, plainNumber(now) || now === "" ? of.units() : "", of);
}

export function numberField(path, label, unit = "", options = {}) {
  const el = input(path, label, (text) => Number(text.replace(",", ".")), { mode: "decimal", ...options });
  return row(label, el, path, unit, options.of);
}

export function textField(path, label, options = {}) {
  return row(label, input(path, label, (text) => text, { wide: true, ...options }), path, "", options.of);
}

export function choiceField(path, label, list, fallback, options = {}) {
  const now = raw(path) ?? fallback;
  const known = list.includes(now) ? list : [now, ...list];
  const el = h("select", { id: fresh("f"), "data-key": path.join("."), onchange: () => { const picked = el.value; change(() => [setTo(path, picked)], label); } },
    known.map((v) => h("option", { value: v, selected: v === now }, v === "" ? t("not stated") : word(String(v)))));
  el.value = now;
  return row(label, el, options.quiet ? null : path);
}

export function switchField(path, label) {
  const el = h("input", { id: fresh("f"), type: "checkbox", "data-key": path.join("."), checked: raw(path) === true,
    onchange: () => { const on = el.checked; change(() => [on ? setTo(path, true) : dropped(path)], label); } });
  return h("div", { class: "field switch" }, el, h("label", { for: el.id }, label));
}

// A point is two lengths side by side.
export function pointField(path, label) {
  const now = raw(path);
  if (!Array.isArray(now)) return null;
  const box = (i, name) => {
    const el = input([...path, i], label, (text) => ({ typed: text }), { optional: false });
    el.setAttribute("aria-label", `${label} ${name}`);
    return h("span", { class: "half" }, h("span", { class: "axis", "aria-hidden": "true" }, name), el);
  };
  const found = about(path);
  return h("div", { class: "field", role: "group", "aria-label": label }, h("span", { class: "label" }, label), h("span", { class: "control" }, box(0, "x"), box(1, "y")),
    found.length ? h("p", { class: `note ${found[0].severity}` }, found[0].message) : null);
}

export const group = (title, ...inside) => h("fieldset", {}, h("legend", {}, title), ...inside);
