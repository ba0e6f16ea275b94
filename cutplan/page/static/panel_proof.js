// As built against plan: readings typed or taken over from the bench, judged at once, and the verdict on the part.

import { get, post, send } from "/files/api.js";
import { button, fresh, h, tell } from "/files/dom.js";
import { job } from "/files/store.js";
import { metric } from "/files/units.js";
import { t } from "/files/words.js";

export const title = () => t("Measure the part");

let sheet = null;
let about = "";
let verdict = null;
let busy = false;
const opened = new Set();

async function load(render) {
  about = job.folder + job.version;
  try { sheet = await get("/api/proof"); } catch (fault) { sheet = { readings: [], values: {}, problem: fault.text }; }
  render();
}

export function build(show, render) {
  if (job.problems?.length) return [h("p", { class: "note error" }, t("The job must be readable first: see Check."))];
  if (about !== job.folder + job.version) { load(render); }
  if (!sheet) return [h("p", {}, "…")];
  return [intro(render), sheet.problem ? h("p", { class: "note error" }, sheet.problem) : null, result(), ...groups(render)];
}

function intro(render) {
  const file = h("input", { type: "file", accept: ".csv", class: "file", id: fresh("f"), onchange: async () => {
    if (!file.files[0]) return;
    try { const { kept } = await send("/api/measured", file.files[0]); tell(t("{n} readings taken over", { n: kept })); await load(render); } catch (fault) { tell(fault.text, true); }
  } });
  const judge = async () => {
    busy = true; render();
    try { await save(); verdict = await post("/api/proof/verdict"); } catch (fault) { tell(fault.text, true); }
    busy = false; render();
  };
  return h("div", {}, h("p", {}, t("Type what the finished part measures, or take over the measured.csv that the bench view saved.")),
    h("p", { class: "row" }, button(busy ? t("Judging…") : t("Judge the part"), judge, { class: "main", disabled: busy || !Object.keys(sheet.values).length }), h("label", { class: "card drop low", for: file.id }, h("strong", {}, t("Take over measured.csv")), file)));
}

async function save() {
  await post("/api/proof/keep", { values: sheet.values });
}

const NAME = { gap: () => t("Gaps, before welding"), distance: () => t("Distances and diagonals"), dial: () => t("Dial on the pads"), feeler: () => t("Feeler under a straight-edge"), "dial fit": () => t("Dial before the first tack, to re-plan the stitches"), "dial tacks": () => t("Dial after the tacks, to re-plan the stitches"),
  before: () => t("Datum distances before cutting"), open: () => t("Datum distances, skin open"), tacked: () => t("Datum distances, plate tacked"), welded: () => t("Datum distances, welded and cold") };
const STAGE = ["before", "open", "tacked", "welded"];
const group = (r) => [r.kind, r.after].filter(Boolean).join(" ");

function groups(render) {
  const kinds = [...new Set(sheet.readings.map(group))];
  const rows = (kind) => sheet.readings.map((r, i) => (group(r) === kind ? row(r, i, render) : null));
  const words = (kind) => (NAME[kind] ? NAME[kind]() : kind);
  const given = (kind) => sheet.readings.some((r, i) => group(r) === kind && sheet.values[i]);
  return kinds.map((kind) => (STAGE.includes(kind) ? h("details", { class: "stage-rows", open: opened.has(kind) || given(kind) || null, ontoggle: (e) => { if (e.target.open) opened.add(kind); else opened.delete(kind); } }, h("summary", {}, words(kind)), rows(kind))
    : h("fieldset", {}, h("legend", {}, words(kind)), h("p", { class: "hint" }, sheet.readings.find((r) => group(r) === kind).note), rows(kind))));
}

function row(r, i) {
  const note = h("span", { class: "misfit" });
  const el = h("input", { id: fresh("f"), type: "text", inputmode: "decimal", autocomplete: "off", "data-key": `proof-${i}`, value: sheet.values[i] || "",
    oninput: () => { if (el.value.trim()) sheet.values[i] = el.value.trim(); else delete sheet.values[i]; judge(r, el.value, note); },
    onchange: async () => { try { await save(); } catch (fault) { tell(fault.text, true); } } });
  judge(r, sheet.values[i] || "", note);
  const per = sheet.unit === "in" ? 25.4 : 1;
  return h("div", { class: "measured" }, h("label", { for: el.id }, r.label), el, h("span", { class: "unit" }, sheet.unit), h("span", { class: "hint" }, r.kind === "dial" ? "" : STAGE.includes(r.kind) ? t("plan {plan}", { plan: metric(r.plan_mm / per, 1) }) : t("plan {plan}, {low} to {high}", { plan: metric(r.plan_mm / per, 2), low: metric((r.plan_mm + r.low_mm) / per, 2), high: metric((r.plan_mm + r.high_mm) / per, 2) })), note);
}

function judge(r, text, note) {
  const value = Number(String(text).replace(",", "."));
  note.className = "misfit";
  note.textContent = "";
  if (!String(text).trim() || r.kind === "dial" || STAGE.includes(r.kind) || !Number.isFinite(value)) return;
  const off = value * (sheet.unit === "in" ? 25.4 : 1) - r.plan_mm;
  const good = off >= r.low_mm - 1e-3 && off <= r.high_mm + 1e-3;
  note.classList.add(good ? "good" : "bad");
  note.textContent = good ? t("within") : t("out by {off} mm", { off: `${off > 0 ? "+" : ""}${metric(off, 2)}` });
}

function onTheWay(bench) {
  const head = !bench.agrees ? t("Stop: the readings do not fit the plan") : bench.kept ? t("Go on as planned") : t("Go on in a new order");
  return h("section", { class: `verdict ${bench.agrees ? "pass" : "out"}`, role: "status" }, h("h2", { class: "big" }, head),
    verdict.advice.length ? h("ul", {}, verdict.advice.map((a) => h("li", {}, h("strong", {}, a)))) : null, bench.reason.map((r) => h("p", {}, r)),
    bench.findings.length ? h("ul", { class: "findings" }, bench.findings.map((f) => h("li", { class: f.severity }, f.message))) : null,
    bench.left.length ? h("p", {}, t("Left, in this order: {list}", { list: bench.left.map((b) => b.name + (b.backward ? " ↻" : "")).join(", ") })) : null,
    bench.later.length ? h("div", {}, h("p", {}, t("After the last stitch, once all is cold:")), h("ol", {}, bench.later.map((w) => h("li", {}, w)))) : null,
    h("p", { class: "row" }, h("a", { class: "button", href: "/api/beside/as-built.pdf", target: "_blank", rel: "noopener" }, t("Weld page of what is left")), h("a", { class: "button", href: "/api/beside/measured.csv?save=1", download: "measured.csv" }, t("Save measured.csv"))));
}

function result() {
  if (!verdict) return null;
  if (verdict.bench) return onTheWay(verdict.bench);
  const words = { pass: t("The part passes"), out: t("Something is out"), incomplete: t("Readings are missing") };
  const bad = verdict.checked.filter((c) => !c.ok);
  return h("section", { class: `verdict ${verdict.verdict}`, role: "status" }, h("h2", { class: "big" }, words[verdict.verdict] || verdict.verdict),
    bad.length ? h("ul", {}, bad.map((c) => h("li", {}, `${c.label}: ${metric(c.measured_mm, 2)} mm, ${t("plan")} ${metric(c.plan_mm, 2)} (${c.source})`))) : null,
    verdict.missing.length ? h("p", {}, t("Missing: {list}", { list: verdict.missing.slice(0, 12).join(", ") + (verdict.missing.length > 12 ? " …" : "") })) : null,
    verdict.findings.length ? h("ul", { class: "findings" }, verdict.findings.map((f) => h("li", { class: f.severity }, f.message, f.fix ? h("span", { class: "fix" }, f.fix) : null))) : null,
    verdict.advice.length ? h("div", {}, h("strong", {}, t("Next")), h("ul", {}, verdict.advice.map((a) => h("li", {}, a)))) : null,
    h("p", { class: "row" }, h("a", { class: "button", href: "/api/beside/as-built.pdf", target: "_blank", rel: "noopener" }, t("Page of the part as built")), h("a", { class: "button", href: "/api/beside/measured.csv?save=1", download: "measured.csv" }, t("Save measured.csv"))));
}
