// The plate as the workplace: exact lines and arcs, pan and zoom by finger, wheel and key, and what lies on it.

import { fill, h, s } from "/files/dom.js";
import { boxOf, joined, pathOf, ring } from "/files/geometry.js";
import { drawn, job, tape } from "/files/store.js";
import { t, word } from "/files/words.js";

export const view = { scale: 1, x: 0, y: 0, width: 600, height: 400, fitted: "" };
const parts = {};

export const toScreen = ([x, y]) => [view.x + x * view.scale, view.y - y * view.scale];
export const toWorld = ([x, y]) => [(x - view.x) / view.scale, (view.y - y) / view.scale];

export function drawingElement() {
  const layers = ["skin", "mirror", "plate", "opening", "holes", "ribs", "brace", "pads", "datum", "survey", "doubts"];
  parts.world = s("g", { class: "world" }, ...layers.map((name) => (parts[name] = s("g", { class: `layer ${name}` }))));
  parts.labels = s("g", { class: "labels" });
  parts.over = s("g", { class: "over" });
  parts.svg = s("svg", { class: "drawing", role: "application", tabindex: "0", "aria-label": t("Drawing of the plate. Arrow keys move what is chosen, N goes to the next thing, plus and minus zoom, 0 shows all.") },
    parts.labels, parts.over);
  // the shapes lie on a layer of their own below: what moves on top does not make the browser paint them again
  parts.base = s("svg", { class: "shapes", "aria-hidden": "true" }, parts.world);
  parts.host = h("div", { class: "drawing-host" }, parts.base, parts.svg);
  new ResizeObserver(([entry]) => {
    const { width, height } = entry.contentRect;
    if (width < 10 || height < 10) return;
    view.width = width; view.height = height;
    for (const svg of [parts.svg, parts.base]) svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
    if (view.fitted) fit(); else place();
  }).observe(parts.host);
  return parts.host;
}

export const svgElement = () => parts.svg;
export const overlay = () => parts.over;

export function contentBox() {
  const shape = job.shape;
  const taped = tape?.points.length ? boxOf(tape.points.map((p) => p.at)) : null;
  if (!shape) return taped || (drawn?.parts?.length ? joined([...drawn.parts, ...(drawn.repairs?.parts || [])].map((p) => p.box)) : [0, 0, 100, 100]);
  const extra = [...shape.ribs.flatMap((r) => r.path), ...(shape.brace ? [shape.brace.from, shape.brace.to] : []), ...shape.pads.map((p) => p.at)];
  return joined([taped, shape.box, shape.skin, boxOf(extra), mirrored() ? mirrorBox(shape.box) : null]);
}

export function fit(box = contentBox()) {
  const edge = Math.min(46, view.width * 0.09);
  const [w, tall] = [Math.max(1e-6, box[2] - box[0]), Math.max(1e-6, box[3] - box[1])];
  view.scale = Math.min((view.width - 2 * edge) / w, (view.height - 2 * edge) / tall);
  view.x = view.width / 2 - ((box[0] + box[2]) / 2) * view.scale;
  view.y = view.height / 2 + ((box[1] + box[3]) / 2) * view.scale;
  view.fitted = job.folder || "-";
  place();
}

export function zoom(factor, about = [view.width / 2, view.height / 2]) {
  const scale = Math.min(200, Math.max(0.02, view.scale * factor));
  const k = scale / view.scale;
  view.x = about[0] + (view.x - about[0]) * k;
  view.y = about[1] + (view.y - about[1]) * k;
  view.scale = scale;
  view.fitted = "";
  place();
}

export function pan(dx, dy) {
  view.x += dx; view.y += dy; view.fitted = "";
  place();
}

const followers = new Set();
export const follow = (fn) => followers.add(fn);

function place() {
  parts.world.setAttribute("transform", `matrix(${view.scale} 0 0 ${-view.scale} ${view.x} ${view.y})`);
  label();
  followers.forEach((fn) => fn());
}

const mirrored = () => Boolean(job.data?.marks?.mirrored_copy);
const mirrorAxis = (box) => box[2] + (box[2] - box[0]) * 0.12;
const mirrorBox = (box) => [2 * mirrorAxis(box) - box[2], box[1], 2 * mirrorAxis(box) - box[0], box[3]];

const line = (points) => `M${points.map((p) => p.join(" ")).join("L")}`;

export function draw() {
  const shape = job.shape;
  parts.host.classList.toggle("stale", Boolean(job.stale));
  const path = (d, cls) => s("path", { d, class: cls });
  drawTape(path);
  const asDrawn = shape ? [] : drawn?.parts || [];
  if (!shape) { Object.values(parts).forEach((g) => g.classList?.contains("layer") && g !== parts.survey && fill(g)); fill(parts.plate, asDrawn.map((p) => path(pathOf(p.outline) + p.holes.map((o) => (o.segments ? pathOf(o.segments) : ring(o.at, o.d))).join(""), "metal"))); fill(parts.mirror, (drawn?.repairs?.parts || []).map((p) => path(pathOf(p.outline), "ghost"))); settle(); return; }
  const metal = drawPlate(path, shape);
  fill(parts.opening, shape.opening.length ? path(pathOf(shape.opening), "opening-line") : null);
  fill(parts.skin, shape.skin ? path(`M${shape.skin[0]} ${shape.skin[1]}H${shape.skin[2]}V${shape.skin[3]}H${shape.skin[0]}Z`, "skin-box") : null);
  fill(parts.pads, shape.pads.map((p) => path(ring(p.at, p.d), "pad")));
  fill(parts.ribs, shape.ribs.map((r) => path(line(r.path), `rib ${r.knowledge}`)));
  const bar = shape.brace ? path(line([shape.brace.from, shape.brace.to]), "brace") : null;
  if (bar) bar.style.strokeWidth = `${shape.brace.size}px`;
  fill(parts.brace, bar);
  fill(parts.datum, shape.datum.map(([a, b]) => path(line([a, b]), "datum")));
  const axis = mirrorAxis(shape.box);
  fill(parts.mirror, mirrored() ? s("g", { transform: `matrix(-1 0 0 1 ${2 * axis} 0)` }, path(metal, "ghost")) : null,
    mirrored() ? path(`M${axis} ${shape.box[1] - 15}V${shape.box[3] + 15}`, "mirror-axis") : null);
  settle();
}

// The plate is drawn anew only when it has changed: thousands of holes take longer than a change of something else.
let cut = { key: null, metal: "" };
function drawPlate(path, shape) {
  if (cut.key === shape.cut_key && parts.plate.firstChild) return cut.metal;
  const rounds = new Map();
  for (const hole of shape.holes) {
    const d = hole.segments ? pathOf(hole.segments) : ring(hole.at, hole.d);
    rounds.set(hole.purpose, (rounds.get(hole.purpose) || "") + d);
  }
  cut = { key: shape.cut_key, metal: pathOf(shape.outline) + [...rounds.values()].join("") };
  fill(parts.plate, path(cut.metal, "metal"));
  fill(parts.holes, [...rounds].map(([purpose, d]) => path(d, `hole purpose-${purpose.replace(" ", "-")}`)));
  return cut.metal;
}

let seen = null;
function settle() {
  const now = job.shape ? -1 : (tape?.points.length || 0) + (drawn?.parts?.length || 0);
  const grown = now !== seen && seen !== null;
  seen = now;
  if (grown || (view.fitted !== (job.folder || "-") && view.fitted !== "")) fit(); else label();
}

// Taped points and readings, each reading in the colour of its misfit.
function drawTape(path) {
  const at = new Map((tape?.points || []).map((p) => [p.name, p.at]));
  const seen = view.taping || !job.shape;
  fill(parts.survey, (seen ? tape?.readings || [] : []).filter((r) => at.has(r.from) && at.has(r.to)).map((r) => path(line([at.get(r.from), at.get(r.to)]), `reading ${r.grade}`)));
}

// Labels keep their size on the screen and give way to each other; of many holes only those with room are named.
function label() {
  const shape = job.shape;
  const out = [];
  const taken = [];
  const text = (at, words, cls, gap = 8) => {
    const [x, y] = toScreen(at);
    if (x < -80 || y < -40 || x > view.width + 80 || y > view.height + 40) return;
    const wide = String(words).length * 8.6 + 4;
    const sides = [[0, -gap - 5], [0, gap + 15], [wide / 2 + gap + 4, 5], [-wide / 2 - gap - 4, 5], [0, -gap - 23], [0, gap + 33]];
    for (const [dx, dy] of sides) {
      const box = [x + dx - wide / 2, y + dy - 13, x + dx + wide / 2, y + dy + 4];
      if (box[0] < 2 || box[2] > view.width - 2 || taken.some((o) => box[0] < o[2] && o[0] < box[2] && box[1] < o[3] && o[1] < box[3])) continue;
      taken.push(box);
      out.push(s("text", { x: x + dx, y: y + dy, class: `name ${cls}` }, words));
      return;
    }
  };
  if (!shape || view.drawing) doubtMarks(out);
  if (!shape || view.taping) {
    for (const p of tape?.points || []) {
      const [x, y] = toScreen(p.at);
      out.push(s("circle", { cx: x, cy: y, r: 5, class: "taped" }));
      text(p.at, p.name, "taped-name", 5);
    }
  }
  if (!shape) { fill(parts.labels, out); return; }
  const few = shape.holes.length <= 40;
  const near = few ? shape.holes : shape.holes.filter((x) => (x.d || 12) * view.scale > 24).slice(0, 200);
  for (const hole of near) {
    const [[x, y], r] = [toScreen(hole.at), ((hole.d || 12) * view.scale) / 2];
    if (r < 40) taken.push([x - r, y - r, x + r, y + r]);
  }
  const named = new Set(view.taping ? (tape?.points || []).map((p) => p.name) : []);
  for (const hole of near) if (!named.has(hole.name)) text(hole.at, hole.name, "hole-name", ((hole.d || 12) * view.scale) / 2);
  shape.pads.forEach((p) => text([p.at[0], p.at[1] - p.d / 2], p.name, "pad-name", 2));
  shape.ribs.forEach((r) => text(r.path[0], r.name, "rib-name", 6));
  shape.datum.forEach(([a], i) => text(a, `${t("datum")} ${i + 1}`, "datum-name", 6));
  arrows(out);
  if (mirrored()) text([mirrorBox(shape.box)[0] + (shape.box[2] - shape.box[0]) / 2, (shape.box[1] + shape.box[3]) / 2], t("the other hand, mirrored"), "ghost-name");
  fill(parts.labels, out);
}

// Every doubt about the drawing at its place, with the number that it has in the list.
function doubtMarks(out) {
  const found = [...(drawn?.doubts || []), ...(drawn?.findings || []).filter((f) => !f.code.startsWith("units-") && f.code !== "frame-or-plate" && f.severity !== "note")];
  found.forEach((f, i) => f.places.slice(0, 20).forEach((p) => {
    const [x, y] = toScreen(p);
    out.push(s("circle", { cx: x, cy: y, r: 13, class: `doubt ${f.accepted ? "accepted" : f.severity}` }), s("text", { x, y: y - 17, class: "name doubt-name" }, String(i + 1)));
  }));
}

// Forward, up and left as the job says, in the lower left corner of the view.
function arrows(out) {
  const shape = job.shape;
  const c = [92, view.height - 34];
  for (const [name, deg] of shape.arrows) {
    const a = (deg * Math.PI) / 180;
    const tip = [c[0] + 32 * Math.cos(a), c[1] - 32 * Math.sin(a)];
    const wing = (turn) => [tip[0] - 10 * Math.cos(a + turn), tip[1] + 10 * Math.sin(a + turn)];
    out.push(s("path", { class: "arrow", d: `M${c.join(" ")}L${tip.join(" ")}M${wing(0.5).join(" ")}L${tip.join(" ")}L${wing(-0.5).join(" ")}` }));
    out.push(s("text", { class: "name arrow-name", x: c[0] + 46 * Math.cos(a), y: c[1] - 46 * Math.sin(a) + 5 }, word(name)));
  }
  if (shape.side_out) out.push(s("text", { class: "name side-name", x: 12, y: 22 }, t("You see: {side}", { side: word(shape.side_out) })));
}
