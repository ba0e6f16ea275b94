// A drawing comes in: its unit with the reason, its parts, every doubt at its place, and what the holes are for.

import { send } from "/files/api.js";
import { button, fresh, h, s, tell } from "/files/dom.js";
import { fit } from "/files/drawing.js";
import { group } from "/files/fields.js";
import { pathOf, ring } from "/files/geometry.js";
import { drawnPurpose } from "/files/panel_plate.js";
import { at, change, drawn, dropped, job, setTo } from "/files/store.js";
import { metric } from "/files/units.js";
import { t } from "/files/words.js";

export const title = () => t("Drawing");

export function build() {
  if (!drawn?.name) return [drop(t("Choose a DXF or SVG file, or drop it here.")), job.data.plate?.shape || job.data.plate?.outline ? h("p", { class: "hint" }, t("The drawing takes the place of the outline that is there; undo brings it back.")) : null];
  if (drawn.problems?.length) return [group(t("The drawing {name} cannot be read", { name: drawn.name }), h("ul", { class: "findings" }, drawn.problems.map((p) => h("li", { class: "error" }, p.message, p.fix ? h("span", { class: "fix" }, p.fix) : null)))), drop(t("Choose another drawing, or drop it here."))];
  return [units(), frame(), parts(), doubts(), purposes(), drop(t("Choose another drawing, or drop it here."))];
}

const PLATE = ["shape", "width", "height", "corner_radius", "diameter", "outline", "mirror", "drawing_units", "drawing_length", "frame", "part", "repair", "layers", "drawn_hole"];

function drop(words) {
  const file = h("input", { type: "file", accept: ".dxf,.svg", class: "file", id: fresh("f"), onchange: () => file.files[0] && take(file.files[0]) });
  const label = h("label", { class: "card drop low", for: file.id, ondragover: (e) => { e.preventDefault(); label.classList.add("over"); }, ondragleave: () => label.classList.remove("over"), ondrop: (e) => { e.preventDefault(); label.classList.remove("over"); if (e.dataTransfer.files[0]) take(e.dataTransfer.files[0]); } }, h("strong", {}, words), file);
  return label;
}

async function take(file) {
  try {
    const { name } = await send("/api/drawing", file);
    const gone = PLATE.filter((k) => at(["plate", k]) !== undefined).map((k) => dropped(["plate", k]));
    await change([...gone, setTo(["plate", "drawing"], name)], t("Drawing {name}", { name }));
  } catch (fault) { tell(fault.text || t("The program does not answer."), true); }
}

const size = ([w, tall], k = 1) => `${metric(w * k, w * k < 100 ? 1 : 0)} × ${metric(tall * k, tall * k < 100 ? 1 : 0)} mm`;
const WORD = { mm: () => t("millimetres"), in: () => t("inches") };

function units() {
  const u = drawn.units;
  const part = drawn.parts[0];
  const pick = (name) => change([setTo(["plate", "drawing_units"], name)], t("Unit of the drawing"));
  const name = (x) => (WORD[x] ? WORD[x]() : x);
  const choice = (unit, k) => h("button", { type: "button", class: "picture", "aria-pressed": String(u.stated === unit), onclick: () => pick(unit) }, h("strong", {}, name(unit)), part ? h("span", {}, t("the plate is {size}", { size: size(part.size_mm, k) })) : null);
  return h("fieldset", { class: u.doubtful ? "question" : "" }, h("legend", {}, u.doubtful ? t("Which unit is the drawing in?") : t("Unit of the drawing")), h("p", {}, h("strong", {}, name(u.name)), `: ${u.reason}`),
    WORD[u.name] && !u.length ? h("div", { class: "pictures" }, choice(u.name, 1), choice(u.other, u.factor)) : null, u.doubtful ? h("p", { class: "hint" }, t("Hold a rule against the part: only one of the two can be true.")) : null, knownLength(u));
}

// Where no unit can be trusted, one length of the part that was measured tells the scale.
const typed = { name: "width", value: "" };
function knownLength(u) {
  if (u.length) return h("p", { class: "row" }, h("span", {}, t("The scale comes from a measured length: {length}", { length: u.length })), button(t("Without it"), () => change([dropped(["plate", "drawing_length"])], t("Known length"))));
  const names = { width: t("width of the part"), height: t("height of the part"), hole: t("largest round hole") };
  const which = h("select", { id: fresh("f"), "data-key": "known-name", "aria-label": t("What was measured"), onchange: () => { typed.name = which.value; } }, Object.entries(names).map(([k, words]) => h("option", { value: k, selected: k === typed.name }, words)));
  const value = h("input", { type: "text", class: "short", "data-key": "known-length", "aria-label": t("Measured length"), autocomplete: "off", value: typed.value, oninput: () => { typed.value = value.value; } });
  const use = async () => { if (!value.value.trim()) { value.focus(); return; } const gone = at(["plate", "drawing_units"]) === undefined ? [] : [dropped(["plate", "drawing_units"])]; if (await change([...gone, setTo(["plate", "drawing_length"], `${typed.name}=${typed.value.trim()}`)], t("Known length"))) typed.value = ""; };
  return h("details", { open: u.doubtful || u.to_scale || null }, h("summary", {}, t("Or state one length that you measured")), h("div", { class: "control" }, which, value, h("span", { class: "unit" }, job.data.units), button(t("Use this length"), use)));
}

// A rectangle around everything: the plate itself, or the border of the sheet of paper.
function frame() {
  const f = drawn.frame;
  if (!f || (!f.asked && !f.stated)) return null;
  const pick = (what) => change([setTo(["plate", "frame"], what)], t("Rectangle around everything"));
  const one = (what, words, more) => h("button", { type: "button", class: "picture", "aria-pressed": String(f.stated === what), onclick: () => pick(what) }, h("strong", {}, words), h("span", {}, more));
  return h("fieldset", { class: f.asked ? "question" : "" }, h("legend", {}, t("What is the rectangle around everything?")), h("div", { class: "pictures" }, one("plate", t("The plate"), t("what lies in it is cut out")), one("border", t("The border of the sheet"), t("what lies in it are the parts"))));
}

export function picture(part, wide = 150) {
  const [x0, y0, x1, y1] = part.box;
  const k = wide / Math.max(x1 - x0, y1 - y0, 1e-6);
  const cuts = part.holes.map((o) => (o.segments ? pathOf(o.segments) : ring(o.at, o.d))).join("");
  return s("svg", { viewBox: `-6 -6 ${(x1 - x0) * k + 12} ${(y1 - y0) * k + 12}`, "aria-hidden": "true" }, s("g", { transform: `matrix(${k} 0 0 ${-k} ${-x0 * k} ${y1 * k})` }, s("path", { class: "metal", d: pathOf(part.outline) + cuts })));
}

function parts() {
  if (drawn.repairs && drawn.doubts.length) return null;
  if (drawn.parts.length < 2) return drawn.parts.length ? null : h("p", { class: "note error" }, t("The drawing holds no closed outline."));
  const now = at(["plate", "part"]) || 1;
  const all = drawn.parts.slice(0, 24);
  return group(t("Which part is the plate?"), h("div", { class: "pictures many" }, all.map((part, i) => h("button", { type: "button", class: "picture", "aria-pressed": String(now === i + 1), onclick: () => change([setTo(["plate", "part"], i + 1)], t("Part {n}", { n: i + 1 })) }, picture(part), h("span", {}, `${i + 1}: ${size(part.size_mm)}`)))));
}

function show(f) {
  const [x, y] = f.places[0];
  const box = (drawn.parts[(at(["plate", "part"]) || 1) - 1] || drawn.parts[0])?.box || [x - 50, y - 50, x + 50, y + 50];
  const reach = Math.max(8, (box[2] - box[0]) * 0.06);
  fit([x - reach, y - reach, x + reach, y + reach]);
}

const line = (f, i) => h("li", { class: f.severity }, f.places.length ? h("span", { class: "mark-number" }, String(i + 1)) : null, f.message, f.fix ? h("span", { class: "fix" }, f.fix) : null, f.where ? h("span", { class: "where" }, f.where) : null, f.places.length ? button(t("Show it"), () => show(f)) : null);

// Each doubt at its place with what its repair would do; accepted or refused one by one, or all that can be mended.
function doubts() {
  const all = drawn.doubts || [];
  const found = drawn.findings.filter((f) => !f.code.startsWith("units-") && f.code !== "frame-or-plate");
  const loud = found.filter((f) => f.severity !== "note");
  const quiet = found.filter((f) => f.severity === "note");
  const open = all.filter((d) => d.possible && !d.accepted);
  const mend = drawn.repairs;
  const last = mend?.possible && all.some((d) => !d.possible && !d.accepted);
  return h("div", { class: "panel" },
    all.length ? group(t("Doubts to decide"), h("p", { class: "hint" }, t("Each is marked on the drawing. Accept a repair when it is what was meant; else mend the drawing where it was made and drop it again.")), h("ol", { class: "findings decide" }, all.map(doubt)),
      open.length > 1 ? h("p", { class: "row" }, button(t("Accept all {n}", { n: open.length }), () => accept(all.filter((d) => d.possible || d.accepted).map((d) => d.key), t("Repairs accepted")))) : null) : null,
    last ? h("section", { class: "question" }, h("h2", {}, t("Not every doubt can be mended by itself")), h("ul", { class: "findings" }, mend.list.map((f) => line(f))), mend.parts[0] ? h("div", { class: "pictures" }, h("div", { class: "picture" }, picture(mend.parts[0]), h("span", {}, t("the plate as mended, {size}", { size: size(mend.parts[0].size_mm) })))) : null, h("p", { class: "row" }, button(t("Accept every repair together"), () => change([setTo(["plate", "repair"], true)], t("Repairs accepted"))))) : null,
    group(t("Doubts about the drawing"), loud.length ? h("ul", { class: "findings" }, loud.map((f, i) => line(f, all.length + i))) : h("p", {}, all.some((d) => !d.accepted) ? t("No others.") : t("None.")), quiet.length ? h("details", {}, h("summary", {}, t("{n} notes", { n: quiet.length })), h("ul", { class: "findings" }, quiet.map(line))) : null),
    drawn.repair ? h("p", { class: "row" }, h("span", {}, t("Every repair is accepted.")), button(t("Refuse the repairs"), () => change([dropped(["plate", "repair"])], t("Repairs refused")))) : null);
}

const accept = (keys, words) => change([keys.length ? setTo(["plate", "repair"], keys) : dropped(["plate", "repair"])], words);

function doubt(d, i) {
  const taken = drawn.doubts.filter((x) => x.accepted).map((x) => x.key);
  return h("li", { class: d.accepted ? "accepted" : d.severity }, h("span", { class: "mark-number" }, String(i + 1)), d.message, d.where ? h("span", { class: "where" }, d.where) : null,
    d.repair ? h("span", { class: "fix" }, h("strong", {}, t("With the repair: ")), [d.repair, d.how].filter(Boolean).join("; ")) : d.fix ? h("span", { class: "fix" }, d.fix) : null,
    h("span", { class: "row" }, d.places.length ? button(t("Show it"), () => show(d), { "aria-label": t("Show doubt {n}", { n: i + 1 }) }) : null,
      d.accepted ? button(t("Refuse"), () => accept(taken.filter((k) => k !== d.key), t("Repair refused")), { "aria-label": t("Refuse repair {n}", { n: i + 1 }) })
        : d.possible ? button(t("Accept"), () => accept([...taken, d.key], t("Repair accepted")), { class: "main", "aria-label": t("Accept repair {n}", { n: i + 1 }) }) : h("em", {}, t("cannot be mended here")),
      d.accepted ? h("strong", { class: "done" }, t("accepted")) : null));
}

function purposes() {
  const holes = (job.shape?.holes || []).filter((o) => !o.key);
  if (!holes.length) return null;
  const kinds = new Map();
  for (const o of holes) { const k = o.d ? o.d.toFixed(1) : `o${o.name}`; if (!kinds.has(k)) kinds.set(k, o); }
  return group(t("What the holes are for"), [...kinds.values()].sort((a, b) => (a.d || 1e9) - (b.d || 1e9)).slice(0, 30).map((o) => h("div", {}, o.d ? null : h("p", { class: "hint" }, t("Hole {name}", { name: o.name })), drawnPurpose(o))));
}
