// The page put together: start or workspace, panels beside the drawing, undo, and what is chosen.

import { button, fill, h, tell } from "/files/dom.js";
import { draw, drawingElement, fit, svgElement, view, zoom } from "/files/drawing.js";
import { chosenThing, choose, hand, mark, takeInHand } from "/files/hands.js";
import * as tape from "/files/measure.js";
import * as around from "/files/panel_around.js";
import * as check from "/files/panel_check.js";
import * as drawingPanel from "/files/panel_drawing.js";
import * as papers from "/files/panel_papers.js";
import * as plate from "/files/panel_plate.js";
import * as tapePanel from "/files/panel_tape.js";
import * as proof from "/files/panel_proof.js";
import * as steering from "/files/panel_steering.js";
import * as steps from "/files/panel_steps.js";
import * as trial from "/files/panel_trial.js";
import * as work from "/files/panel_work.js";
import { outsideBox } from "/files/outside.js";
import { startPage } from "/files/start.js";
import { watchWork } from "/files/longwork.js";
import { begin, change, job, listen, redo, undo } from "/files/store.js";
import { removal, things } from "/files/things.js";
import { speak, t } from "/files/words.js";

const panels = { plate, drawing: drawingPanel, tape: tapePanel, around, work, check, steps, papers, proof, trial, steering };
const root = document.getElementById("page");
const ui = {};
let panel = "plate";
let opened = "";

function workspace() {
  ui.title = h("h1", {});
  ui.undo = button(t("Undo"), undo, { class: "undo" });
  ui.redo = button(t("Redo"), redo, { class: "redo" });
  ui.nav = h("nav", { class: "parts", "aria-label": t("Parts of the job") });
  ui.outside = h("div", { class: "outside", role: "region", "aria-label": t("Change by another program") });
  ui.panel = h("div", { class: "panel" });
  ui.chosen = h("section", { class: "chosen-box", "aria-label": t("Chosen") });
  ui.state = h("p", { class: "state" });
  ui.snap = button(t("Catch"), () => { hand.snap = !hand.snap; tools(); }, {});
  ui.tape = button(t("Measure"), () => { hand.tool = hand.tool === "tape" ? "move" : "tape"; tape.clear(); mark(); tools(); }, {});
  const bar = h("div", { class: "tools", role: "toolbar", "aria-label": t("Drawing tools") }, button("+", () => zoom(1.3), { "aria-label": t("Larger") }), button("−", () => zoom(0.77), { "aria-label": t("Smaller") }), button(t("All"), () => fit()), ui.snap, ui.tape);
  fill(root, h("a", { href: "#panel", class: "skip" }, t("To the numbers")),
    h("header", { class: "top" }, button("☰", () => leave(), { class: "home", "aria-label": t("To the beginning") }), ui.title, h("span", { class: "history" }, ui.undo, ui.redo)),
    ui.outside, ui.work = h("main", { class: "work" }, h("div", { class: "stage" }, drawingElement(), bar, ui.chosen), h("div", { class: "side" }, ui.nav, ui.state, h("div", { id: "panel", tabindex: "-1" }, ui.panel))));
  takeInHand();
  hand.onchoose = () => { chosen(); keepFocus(() => fill(ui.panel, panels[panel].build(show, render))); };
  tools();
}

function tools() {
  ui.snap.setAttribute("aria-pressed", String(hand.snap));
  ui.tape.setAttribute("aria-pressed", String(hand.tool === "tape"));
  svgElement().classList.toggle("taping", hand.tool === "tape");
}

export function show(name) {
  panel = name;
  render();
  scrollTo({ top: innerWidth > 1020 ? 0 : document.querySelector(".side").offsetTop - document.querySelector(".top").offsetHeight });
}

async function leave() {
  const { post } = await import("/files/api.js");
  await post("/api/leave");
  location.reload();
}

// The panel is built anew at every change; the field in use keeps its place.
function keepFocus(build) {
  const active = document.activeElement;
  const key = active?.dataset?.key;
  const typed = active && active.tagName === "INPUT" && active.type === "text" ? { value: active.value, start: active.selectionStart, end: active.selectionEnd, dirty: active.value !== active.defaultValue, sent: active.dataset.sent } : null;
  const text = active?.tagName === "BUTTON" && active.closest(".side, .chosen-box") ? active.textContent : null;
  const box = active?.closest(".chosen-box") ? ".chosen-box" : ".side";
  build();
  if (key) {
    const again = document.querySelector(`${box} [data-key="${CSS.escape(key)}"]`);
    if (again && typed?.dirty && again.value !== typed.value) { again.value = typed.value; if (typed.sent) again.dataset.sent = typed.sent; }
    if (again) { again.focus({ preventScroll: true }); if (typed && document.activeElement === again) again.setSelectionRange(typed.start, typed.end); }
  } else if (text) {
    [...document.querySelectorAll(`${box} button`)].find((b) => b.textContent === text)?.focus({ preventScroll: true });
  }
}

function render() {
  if (!job.job) { opened = ""; return startPage(root, (state) => state); }
  if (opened !== job.folder + job.job) {
    opened = job.folder + job.job;
    panel = job.data.plate?.drawing ? "drawing" : job.data.survey || !(job.data.plate?.shape || job.data.plate?.drawing || job.data.plate?.outline) ? "tape" : "plate";
    workspace();
    hand.chosen = "";
    requestAnimationFrame(() => fit());
  }
  ui.title.textContent = job.title || job.data.title || job.job;
  document.title = `${ui.title.textContent} – cutplan`;
  ui.undo.disabled = !job.changes;
  ui.redo.disabled = !job.redo && job.redo_count === 0;
  ui.undo.title = job.undo ? t("Take back: {what}", { what: job.undo }) : "";
  ui.redo.title = job.redo ? t("Make again: {what}", { what: job.redo }) : "";
  view.taping = panel === "tape";
  view.drawing = panel === "drawing";
  ui.work.classList.toggle("broad", ["steps", "papers", "steering"].includes(panel));
  draw();
  keepFocus(() => {
    fill(ui.nav, Object.entries(panels).map(([name, p]) => button(p.title(), () => show(name), { "aria-current": name === panel ? "page" : null, class: name === panel ? "on" : "" })));
    fill(ui.outside, outsideBox());
    fill(ui.state, state());
    fill(ui.panel, panels[panel].build(show, render));
    chosen();
  });
  mark();
}

function state() {
  const found = check.all();
  const count = (s) => found.filter((f) => f.severity === s).length;
  const [bad, look] = [count("error"), count("warning")];
  const words = bad ? t("{n} wrong", { n: bad }) : look ? t("{n} to look at", { n: look }) : t("Nothing to object");
  ui.state.className = `state ${bad ? "bad" : look ? "look" : "good"}`;
  return [h("strong", {}, words), bad ? h("span", {}, found[0].message) : null, panel !== "check" ? button(t("See"), () => show("check")) : null];
}

function chosen() {
  const thing = chosenThing();
  if (!thing) { fill(ui.chosen, h("p", { class: "hint" }, hand.tool === "tape" ? t("Touch two things: the distance stands between them.") : t("Touch something on the drawing to move it or to change its numbers."))); return; }
  const gone = removal(thing);
  fill(ui.chosen, h("h2", {}, thing.title), ...(thing.kind === "hole" ? plate.holeFields(thing.hole) : around.fieldsOf(thing)),
    h("p", { class: "row" }, gone ? button(t("Take away"), () => { choose(""); change(() => { const now = things().find((x) => x.id === thing.id); return now && removal(now); }, t("{what} taken away", { what: thing.title })); }, { class: "danger" }) : null, button(t("Done"), () => choose(""))));
}

document.addEventListener("keydown", (e) => {
  if (!(e.ctrlKey || e.metaKey) || e.altKey) return;
  const inField = ["INPUT", "TEXTAREA"].includes(document.activeElement?.tagName);
  if (inField) return;
  if (e.key === "z" && !e.shiftKey) { e.preventDefault(); undo(); }
  if (e.key === "y" || (e.key === "Z" && e.shiftKey)) { e.preventDefault(); redo(); }
});

async function go() {
  await speak(navigator.language?.startsWith("de") ? "de" : "en");
  listen(() => render());
  watchWork(() => { if (job.job && ["steps", "papers", "check"].includes(panel)) render(); });
  try { await begin(); } catch (fault) { tell(fault.text || String(fault), true); }
}

go();
