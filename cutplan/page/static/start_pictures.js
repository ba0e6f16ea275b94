// A plate from pictures: photographs sent one by one, traced beside the page, looked at, counted, and only then a job.

import { get, post, sendWatched } from "/files/api.js";
import { button, fill, fresh, h, tell } from "/files/dom.js";
import { choices, set } from "/files/store.js";
import { t, word } from "/files/words.js";

const kept = { list: [], faces: new Map(), sending: [], state: null, thickness: "", between: "A1-D2", length: "", holes: "", scan: false, paper: "A4" };
let timer = 0;
let host = null;
let facts = () => ({});
let ready = () => true;

// The section of the start page: ``job`` gives name, unit and thicknesses typed there, ``asked`` whether they are complete.
export function picturesSection(job, asked) {
  facts = job;
  ready = asked;
  host = h("section", { class: "pictures-start", "aria-label": t("From photographs or a scan") });
  load();
  return host;
}

async function load() {
  try {
    kept.list = (await get("/api/pictures/kept")).pictures;
    kept.state = await get("/api/trace");
  } catch (fault) { tell(fault.text, true); }
  if (kept.state?.running) poll();
  show();
}

async function poll() {
  clearTimeout(timer);
  try { kept.state = await get("/api/trace"); } catch { return; }
  show();
  if (kept.state.running) timer = setTimeout(poll, 400);
  else if (kept.state.found) host.querySelector(".look")?.scrollIntoView({ block: "start" });
}

function show() {
  const key = document.activeElement?.dataset?.key;
  fill(host, h("h2", {}, t("From photographs or a scan of a cardboard template")), how(), pictures(), measures(), progress(), look());
  if (key) host.querySelector(`[data-key="${key}"]`)?.focus({ preventScroll: true });
}

function how() {
  const paper = h("select", { id: fresh("f"), "data-key": "marks-paper", onchange: () => { kept.paper = paper.value; show(); } }, (choices.paper || ["A4"]).filter((p) => !["roll", "custom"].includes(p)).map((p) => h("option", { value: p, selected: p === kept.paper }, word(p))));
  return h("div", {}, h("ol", {}, h("li", {}, t("Print the strips of marks at 100 % and cut them out.")), h("li", {}, t("Lay the card on a matte sheet of another colour, six strips flat round it.")),
    h("li", {}, t("Measure one long distance between the crosses of two strips, and the thickness of the card.")), h("li", {}, t("Take four photographs from four sides, tilted a little, the whole card and four strips in each."))),
  h("p", { class: "row" }, h("label", { for: paper.id }, t("Paper")), paper, h("a", { class: "button", href: `/api/marks.pdf?paper=${kept.paper}`, target: "_blank", rel: "noopener" }, t("Print the marks"))));
}

const size = (bytes) => (bytes > 1e6 ? `${(bytes / 1e6).toFixed(1)} MB` : `${Math.max(1, Math.round(bytes / 1e3))} kB`);

function pictures() {
  const file = h("input", { type: "file", accept: "image/jpeg,image/png,image/tiff", multiple: true, class: "file", id: fresh("f"), onchange: () => send([...file.files]) });
  const drop = h("label", { class: "card drop low", for: file.id, ondragover: (e) => { e.preventDefault(); drop.classList.add("over"); }, ondragleave: () => drop.classList.remove("over"),
    ondrop: (e) => { e.preventDefault(); drop.classList.remove("over"); send([...e.dataTransfer.files]); } }, h("strong", {}, t("Choose the pictures, or drop them here")), h("span", {}, t("JPEG, PNG or TIFF as the camera wrote them, at most 64 MB each.")), file);
  const face = (name) => (kept.faces.has(name) ? h("img", { src: kept.faces.get(name), alt: "" }) : h("span", { class: "no-face", "aria-hidden": "true" }, "▣"));
  return h("div", {}, drop, h("ul", { class: "shots" },
    kept.list.map((p, i) => h("li", {}, face(p.name), h("span", {}, t("Picture {n}", { n: i + 1 }), h("br"), h("small", {}, size(p.bytes))), button("✕", () => away(p.name), { class: "small", "aria-label": t("Take away picture {n}", { n: i + 1 }) }))),
    kept.sending.map((p) => h("li", { class: "sending" }, h("span", {}, p.name), h("progress", { max: "1", value: String(p.share), "aria-label": t("Sent of {name}", { name: p.name }) })))));
}

const LARGEST = 64 * 1024 * 1024;

async function send(files) {
  for (const file of files) {
    if (file.size > LARGEST) { tell(t("{name} is larger than 64 MB.", { name: file.name }), true); continue; }
    const row = { name: file.name, share: 0 };
    kept.sending.push(row);
    show();
    try {
      const answer = await sendWatched("/api/pictures", file, (share) => { row.share = share; const bar = host.querySelectorAll(".sending progress")[kept.sending.indexOf(row)]; if (bar) bar.value = share; });
      kept.list = answer.pictures;
      kept.faces.set(answer.name, URL.createObjectURL(file));
      kept.state = null;
    } catch (fault) { tell(fault.text || t("The program does not answer."), true); }
    kept.sending.splice(kept.sending.indexOf(row), 1);
    show();
  }
}

async function away(name) {
  try { kept.list = (await post("/api/pictures/drop", { name })).pictures; kept.state = null; } catch (fault) { tell(fault.text, true); }
  show();
}

function line(key, label, options = {}) {
  const el = h("input", { id: fresh("f"), type: "text", class: "short", autocomplete: "off", spellcheck: "false", "data-key": `trace-${key}`, placeholder: options.placeholder || "", inputmode: options.mode || "text", value: kept[key], oninput: () => { kept[key] = el.value; if (options.seen) options.seen(); } });
  return h("div", { class: "field" }, h("label", { for: el.id }, label), h("span", { class: "control" }, el, options.unit ? h("span", { class: "unit" }, facts().units) : null));
}

function measures() {
  if (!kept.list.length) return null;
  const scan = h("input", { id: fresh("f"), type: "checkbox", "data-key": "trace-scan", checked: kept.scan, onchange: () => { kept.scan = scan.checked; } });
  return h("div", {}, h("div", { class: "facts" }, line("thickness", t("Thickness of the card"), { unit: true }), line("between", t("Known distance, between crosses")), line("length", t("Its length"), { unit: true }), line("holes", t("Holes in the card, as you count them"), { mode: "numeric" })),
    h("div", { class: "field switch" }, scan, h("label", { for: scan.id }, t("These are flatbed scans: the strips are stuck on the card"))),
    kept.list.length < 4 && !kept.scan ? h("p", { class: "note warning" }, t("Fewer than four photographs: sizes of the holes and the thickness of the card are not proved.")) : null,
    h("p", { class: "row" }, button(t("Find the plate"), start, { class: "main", disabled: kept.state?.running || kept.sending.length > 0 })));
}

async function start() {
  try {
    kept.state = await post("/api/trace/start", { units: facts().units, thickness: kept.thickness, between: kept.length.trim() ? kept.between : "", length: kept.length, scan: kept.scan });
    show();
    timer = setTimeout(poll, 250);
  } catch (fault) { tell(fault.text, true); }
}

async function cancel() {
  try { kept.state = await post("/api/trace/cancel"); } catch (fault) { tell(fault.text, true); }
  poll();
}

const STEP = { marks: () => t("finding the marks"), adjustment: () => t("solving camera, views and strips"), outline: () => t("following the edge"), account: () => t("telling how sure it is") };

function progress() {
  const now = kept.state;
  if (!now) return null;
  if (now.running) return h("div", { class: "working", role: "status" }, h("p", {}, h("strong", {}, t("Tracing the card")), now.step ? `: ${STEP[now.step] ? STEP[now.step]() : now.step}` : ""), h("progress", { max: "1", value: String(now.total ? now.done / now.total : 0), "aria-label": t("Progress") }), button(t("Cancel"), cancel));
  if (now.cancelled) return h("p", { class: "hint" }, t("Cancelled. The pictures are still here."));
  if (now.error) return h("div", { class: "question bad", role: "alert" }, h("h2", {}, t("No plate yet")), h("p", {}, now.error.message || t("The work ended without an answer."), now.error.where ? ` (${now.error.where})` : ""), now.error.try ? h("p", { class: "fix" }, now.error.try) : null);
  return null;
}

// What was found over the first picture; nothing is written before somebody has looked at it and counted.
function look() {
  const found = kept.state?.found;
  if (!found) return null;
  const n = found.holes.length;
  const counted = /^\s*\d+\s*$/.test(kept.holes) ? Number(kept.holes) : null;
  const count = h("input", { id: fresh("f"), type: "text", class: "short", inputmode: "numeric", autocomplete: "off", "data-key": "trace-count", value: kept.holes, oninput: () => { kept.holes = count.value; show(); } });
  const verdict = counted === null ? h("p", { class: "note warning" }, t("Count the holes on the card itself.")) : counted === n ? h("p", { class: "note good" }, t("The same as were found.")) : h("p", { class: "note error" }, t("{n} were found. Look which one is missing or is none, and take better pictures.", { n }));
  return h("div", { class: "look question" }, h("h2", {}, t("Is this the card?")), h("p", {}, t("The pink line must lie on the edge of the card all round, a blue line round every hole, and nothing else. Touch the picture to see it larger.")),
    h("a", { href: "/api/trace/picture", target: "_blank", rel: "noopener" }, h("img", { class: "found", src: `/api/trace/picture?${n}-${found.size_mm.join("-")}`, alt: t("First picture with the outline found and {n} holes, numbered", { n }) })),
    h("details", {}, h("summary", {}, t("How sure it is")), h("ul", {}, found.said.map((x) => h("li", {}, x)))),
    found.findings.length ? h("ul", { class: "findings" }, found.findings.map((f) => h("li", { class: f.severity }, f.message, f.fix ? h("span", { class: "fix" }, f.fix) : null))) : null,
    h("div", { class: "field" }, h("label", { for: count.id }, t("Holes in the card, as you count them")), h("span", { class: "control" }, count)), verdict,
    h("p", { class: "row" }, button(t("Yes, begin the job with this plate"), begin, { class: "main", disabled: counted !== n }), button(t("No, take other pictures"), again)));
}

async function begin() {
  if (!ready()) return;
  try {
    const state = await post("/api/trace/begin", { ...facts(), holes: Number(kept.holes) });
    Object.assign(kept, { list: [], state: null, holes: "", length: "", thickness: "" });
    kept.faces.forEach((url) => URL.revokeObjectURL(url));
    kept.faces.clear();
    set(state);
  } catch (fault) { tell(fault.text || t("The program does not answer."), true); }
}

async function again() {
  try { kept.list = (await post("/api/pictures/drop", {})).pictures; kept.state = null; } catch (fault) { tell(fault.text, true); }
  show();
}
