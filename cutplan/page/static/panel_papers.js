// The documents: made as a set, every page looked at in place, printed, taken one by one or as a zip.

import { button, h } from "/files/dom.js";
import { old, papers, progress, refresh, start, work } from "/files/longwork.js";
import { job } from "/files/store.js";
import { length } from "/files/units.js";
import { t } from "/files/words.js";

export const title = () => t("Documents");

const kept = { document: "templates", page: 0 };

export function build(show, render) {
  refresh();
  const bad = Boolean(job.problems?.length);
  return [
    h("p", { class: "caution" }, t("Structural work on a vehicle can kill. Follow your local rules, the vehicle maker and licensed practice.")),
    h("p", { class: "row" }, button(papers.documents.length ? t("Make the set again") : t("Make the set"), () => start("documents"), { class: "main", disabled: bad || work.running })),
    bad ? h("p", { class: "note error" }, t("The job must be readable first: see Check.")) : null,
    progress(), files(), sheets(render),
  ];
}

const WHAT = {
  "templates.pdf": () => t("Paper templates, 1:1"), "plate-net.dxf": () => t("Shape of the plate, for a shop that compensates"), "plate-path.dxf": () => t("Torch path of the plate"),
  "opening.dxf": () => t("Cut line of the opening"), "job-sheet.pdf": () => t("Job sheet for the bench"), "report.html": () => t("Report for a screen, with the bench view"), "summary.json": () => t("Every figure, for programs"),
};

function files() {
  if (!papers.documents.length) return null;
  const link = (name, save) => `/api/paper/${encodeURIComponent(name)}${save ? "?save=1" : ""}`;
  return h("fieldset", { class: papers.fresh ? "" : "old-set" }, h("legend", {}, t("The set")), papers.fresh ? null : h("p", { class: "note warning" }, t("The job has changed since: make the set again before you use it.")),
    h("p", { class: "row" }, h("a", { class: "button main", href: "/api/set.zip", download: "" }, t("The whole set as a zip")), h("a", { class: "button", href: link("templates.pdf"), target: "_blank", rel: "noopener" }, t("Print the templates"))),
    h("p", { class: "box" }, t("Print at 100 %, never \u201Cfit to page\u201D. Then lay a rule on the first sheet: the printed rulers must agree with it.")),
    h("ul", { class: "files" }, papers.documents.map((d) => h("li", {}, h("span", {}, h("strong", {}, d.name), WHAT[d.name] ? h("span", { class: "fix-plain" }, WHAT[d.name]()) : null),
      h("span", { class: "row" }, /\.(pdf|html)$/.test(d.name) ? h("a", { class: "button", href: link(d.name), target: "_blank", rel: "noopener", "aria-label": t("Look at {name}", { name: d.name }) }, t("Look")) : null, h("a", { class: "button", href: link(d.name, true), download: d.name, "aria-label": t("Save {name}", { name: d.name }) }, t("Save")))))));
}

function sheets(render) {
  const found = work.answer?.sheets;
  if (!found) return null;
  const names = { templates: t("Templates"), "job-sheet": t("Job sheet") };
  const documents = Object.keys(found).filter((k) => found[k].length);
  if (!documents.includes(kept.document)) kept.document = documents[0];
  const pages = found[kept.document] || [];
  kept.page = Math.min(kept.page, pages.length - 1);
  const go = (n) => { kept.page = Math.max(0, Math.min(pages.length - 1, n)); render(); };
  const pick = (d) => { kept.document = d; kept.page = 0; render(); };
  return h("fieldset", { class: old() ? "old" : "" }, h("legend", {}, t("Look at every page")), old() ? h("p", { class: "note warning" }, t("From before the last change.")) : null,
    h("p", { class: "options" }, documents.map((d) => button(names[d] || d, () => pick(d), { "aria-pressed": String(d === kept.document) }))),
    h("div", { class: "pager row" }, button("◀", () => go(kept.page - 1), { "aria-label": t("Page before"), disabled: kept.page <= 0 }), h("span", { role: "status" }, t("Page {n} of {total}", { n: kept.page + 1, total: pages.length })), button("▶", () => go(kept.page + 1), { "aria-label": t("Next page"), disabled: kept.page >= pages.length - 1 })),
    pages.length ? h("img", { class: "sheet", src: `/api/picture/${pages[kept.page]}?v=${work.about.slice(0, 12)}`, alt: t("Page {n} of {name}", { n: kept.page + 1, name: names[kept.document] || kept.document }) }) : null);
}

// The weld order and the opening, as figures beside the check; the old answer is marked as such.
export function answers() {
  refresh();
  const a = work.answer;
  const rows = [];
  if (a?.weld) {
    const chosen = a.weld.orders.find((o) => o.chosen);
    rows.push([t("Weld order"), a.weld.chosen], [t("Beads"), t("{tacks} tacks, {stitches} stitches", { tacks: a.weld.tacks, stitches: a.weld.stitches })]);
    if (chosen) rows.push([t("Pads out of flat"), `${chosen.mid_mm.toFixed(2)} mm (${chosen.low_mm.toFixed(2)}–${chosen.high_mm.toFixed(2)})`], [t("Time at the weld"), t("{n} min", { n: Math.round(chosen.total_s / 60) })]);
    if (a.weld.allowed_mm !== null) rows.push([t("Flat within"), length(a.weld.allowed_mm, 2)]);
  }
  if (a?.opening) rows.push([t("Opening"), t("{n} pieces in {steps} steps", { n: a.opening.sections, steps: a.opening.steps })]);
  return h("section", { class: "figures-box", "aria-label": t("Weld order and opening") }, h("h2", {}, t("Weld order and opening")), rows.length ? h("dl", { class: old() ? "old" : "" }, rows.flatMap(([k, v]) => [h("dt", {}, k), h("dd", {}, v)])) : h("p", {}, t("Not worked out yet.")),
    a?.weld?.reason ? h("p", { class: old() ? "old" : "" }, a.weld.reason) : null, old() ? h("p", { class: "note warning" }, t("From before the last change.")) : null, progress(),
    work.running ? null : button(rows.length ? t("Work it out again") : t("Work it out"), () => start("look"), { class: old() || !rows.length ? "main" : "", disabled: Boolean(job.problems?.length) }));
}
