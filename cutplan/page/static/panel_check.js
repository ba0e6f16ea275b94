// What is known at once: what is wrong or doubtful, at its field and its place, and the figures.

import { button, h } from "/files/dom.js";
import { choose } from "/files/hands.js";
import { figures, job } from "/files/store.js";
import { answers } from "/files/panel_papers.js";
import { things } from "/files/things.js";
import { length } from "/files/units.js";
import { t, word } from "/files/words.js";

export const title = () => t("Check");

export function all() {
  const own = [...(job.problems || []).map((p) => ({ ...p, severity: "error" })), ...(figures.problems || []).map((p) => ({ ...p, severity: "error" })), ...(figures.findings || job.findings || [])];
  const rank = { error: 0, warning: 1, note: 2 };
  return own.sort((a, b) => rank[a.severity] - rank[b.severity]);
}

export function build() {
  const found = all();
  return [h("section", { class: "figures-box", "aria-label": t("Figures") }, numbers()), answers(), h("section", {}, h("h2", {}, found.length ? t("To look at") : t("Nothing to object")), h("ul", { class: "findings" }, found.map(one)))];
}

function one(f) {
  const thing = f.key ? things().find((x) => x.key && f.key.startsWith(x.key.map((p) => (typeof p === "number" ? `[${p}]` : `.${p}`)).join("").replace(/^\./, ""))) : null;
  return h("li", { class: f.severity }, h("strong", {}, f.severity === "error" ? t("Wrong") : f.severity === "warning" ? t("Look") : t("Note")), " ", f.message,
    f.fix ? h("span", { class: "fix" }, f.fix) : null, f.where || f.key ? h("span", { class: "where" }, f.where || f.key) : null, thing ? button(t("Show it"), () => choose(thing.id)) : null);
}

function numbers() {
  const f = job.figures;
  if (!f) return h("p", {}, t("The figures come when the job can be read."));
  const old = Boolean(job.problems?.length);
  const rows = [
    [t("Plate"), `${length(f.width_mm)} × ${length(f.height_mm)}`],
    [t("Weld"), length(f.weld_mm, 0)], [t("Opening, all round"), length(f.opening_mm, 0)],
    [t("Sheets of paper"), figures.sheets === undefined ? (figures.waiting ? t("when the set is made") : "…") : `${figures.sheets} × ${word(figures.paper)}`],
    [t("Cut"), figures.cut_mm === undefined ? (figures.waiting ? t("when the set is made") : "…") : length(figures.cut_mm, 0)],
    [t("Holes"), figures.drilled === undefined ? String(f.holes) : t("{n}, {drilled} of them drilled", { n: f.holes, drilled: figures.drilled })],
    [t("Shop file"), figures.shop || t("none: table values")],
  ];
  return h("dl", { class: old ? "old" : "" }, rows.flatMap(([k, v]) => [h("dt", {}, k), h("dd", {}, v)]));
}
