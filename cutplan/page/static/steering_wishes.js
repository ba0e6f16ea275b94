// The builder's wishes: limits that the figures must keep, each to be changed, taken away or added.

import { button, fresh, h } from "/files/dom.js";
import { group, lengthField, numberField } from "/files/fields.js";
import { study, studyFile } from "/files/study_store.js";
import { t } from "/files/words.js";

const of = studyFile;
const kept = { figure: "", kind: "at_least" };
const KINDS = { at_least: () => t("at least"), at_most: () => t("at most") };
const UNITS = { deg: "°", "%": "%", mm: "mm", "": "" };

export function wishes() {
  const now = study.data.wish || {};
  const rows = Object.entries(now).flatMap(([figure, limits]) => Object.keys(KINDS).filter((kind) => limits?.[kind] !== undefined).map((kind) => row(figure, kind)));
  return group(t("Wishes"), rows.length ? h("div", {}, rows) : h("p", { class: "hint" }, t("None of your own: three careful ones are used.")), add(now));
}

function row(figure, kind) {
  const label = `${study.words?.[figure] || figure}, ${KINDS[kind]()}`;
  const path = ["wish", figure, kind];
  const unit = study.unit_of?.[figure];
  const only = Object.keys(study.data.wish[figure]).length === 1;
  return h("div", { class: "wish" }, unit === "mm" ? lengthField(path, label, { of, optional: false }) : numberField(path, label, UNITS[unit] ?? "", { of, optional: false }),
    button("✕", () => of.change([{ do: "drop", at: only ? path.slice(0, 2) : path }], t("Wish taken away")), { class: "small", "aria-label": t("Take away: {what}", { what: label }) }));
}

function add(now) {
  const free = (study.choices || []).filter((f) => study.words?.[f]);
  if (!kept.figure || !free.includes(kept.figure)) kept.figure = free.find((f) => !now[f]) || free[0] || "";
  const figure = h("select", { id: fresh("f"), "aria-label": t("Figure"), "data-key": "wish-figure", onchange: () => { kept.figure = figure.value; } }, free.map((f) => h("option", { value: f, selected: f === kept.figure }, study.words[f])));
  const kind = h("select", { id: fresh("f"), "aria-label": t("Limit"), "data-key": "wish-kind", onchange: () => { kept.kind = kind.value; } }, Object.entries(KINDS).map(([k, words]) => h("option", { value: k, selected: k === kept.kind }, words())));
  const limit = h("input", { id: fresh("f"), type: "text", inputmode: "decimal", class: "short", "aria-label": t("Value"), "data-key": "wish-limit" });
  const put = () => {
    const text = limit.value.trim();
    if (!text) { limit.focus(); return; }
    const value = study.unit_of?.[kept.figure] === "mm" ? { typed: text } : Number(text.replace(",", "."));
    of.change([{ do: "set", at: ["wish", kept.figure, kept.kind], value }], t("Wish"));
  };
  return h("div", { class: "control" }, figure, kind, limit, button(t("Add the wish"), put, { class: "add" }));
}
