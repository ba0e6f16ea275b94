// Trial pieces: made, measured, and what the shop file learns from them.

import { get, post } from "/files/api.js";
import { button, fresh, h, tell } from "/files/dom.js";
import { job, later } from "/files/store.js";
import { length } from "/files/units.js";
import { t } from "/files/words.js";

export const title = () => t("Trial pieces");

const NAME = { paper: () => t("Printer: a sheet that proves its scale"), kerf: () => t("Torch: a piece that shows the kerf"), weld: () => t("Welder: a trial weld that shows the shrinkage") };
const known = {};
const typed = { paper: {}, kerf: {}, weld: {} };
let about = "";

async function load(kind, render) {
  try { known[kind] = await get("/api/trial", { kind }); } catch (fault) { known[kind] = { trouble: fault.text, fields: [] }; }
  render();
}

export function build(show, render) {
  if (job.problems?.length) return [h("p", { class: "note error" }, t("The job must be readable first: see Check."))];
  if (about !== job.folder + job.version) { about = job.folder + job.version; ["paper", "kerf", "weld"].forEach((kind) => load(kind, render)); }
  return [h("p", {}, t("A table gives a wide band. A trial piece from your own machine narrows it: make it, measure it, type what it measured.")), ...["paper", "kerf", "weld"].map((kind) => one(kind, render))];
}

function one(kind, render) {
  const k = known[kind];
  if (!k) return h("fieldset", {}, h("legend", {}, NAME[kind]()), "…");
  const run = (work) => async () => { try { known[kind] = await work(); } catch (fault) { tell(fault.text, true); } render(); };
  const make = run(() => post("/api/trial/make", { kind }));
  const teach = run(async () => { const answer = await post("/api/trial/learn", { kind, values: typed[kind] }); later(); return answer; });
  return h("fieldset", {}, h("legend", {}, NAME[kind]()), k.trouble ? h("p", { class: "note error" }, k.trouble) : null,
    h("p", { class: "row" }, button(k.file ? t("Make it again") : t("Make it"), make, { class: k.file ? "" : "main" }), k.file ? h("a", { class: "button", href: `/api/beside/${k.file}`, target: "_blank", rel: "noopener" }, t("Open {name}", { name: k.file })) : null),
    k.measure ? h("ol", {}, k.measure.map((m) => h("li", {}, m))) : null,
    k.file ? h("div", {}, k.fields.map((f) => field(kind, f)), h("p", { class: "row" }, button(t("Learn from it"), teach, { class: "main" }))) : null,
    k.notes ? h("ul", { class: "findings" }, k.notes.map((n) => h("li", {}, n))) : null,
    k.difference?.length ? h("div", {}, h("strong", {}, t("The shop file has changed")), h("pre", { class: "diff", tabindex: "0" }, k.difference.map((line) => h("span", { class: line.startsWith("+") ? "plus" : line.startsWith("-") ? "minus" : "same" }, line.startsWith("@@") ? "…\n" : `${line}\n`)))) : null);
}

function field(kind, f) {
  const el = h("input", { id: fresh("f"), type: "text", inputmode: "decimal", autocomplete: "off", "data-key": `${kind}-${f.name}`, value: typed[kind][f.name] || "", oninput: () => { typed[kind][f.name] = el.value; } });
  return h("div", { class: "measured" }, h("label", { for: el.id }, h("strong", {}, f.name), ` ${f.label}`), el, h("span", { class: "unit" }, job.data.units), f.plan_mm === null ? null : h("span", { class: "hint" }, t("drawn {plan}", { plan: length(f.plan_mm, 1) })));
}
