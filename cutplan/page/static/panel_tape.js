// Tape readings: typed or pasted, the figure as it grows, misfits, mirror questions, what to tape next, the outline.

import { post } from "/files/api.js";
import { button, fresh, h, s, tell } from "/files/dom.js";
import { group, lengthField } from "/files/fields.js";
import { added, at, change, choices, dropped, job, setTo, tape } from "/files/store.js";
import { length, metric } from "/files/units.js";
import { t } from "/files/words.js";

export const title = () => t("Tape");

const kept = { text: "", refused: [], diameter: "", picked: [] };

let render = () => {};

export function build(show, again) {
  render = again;
  const readings = at(["survey", "tape"]) || [];
  return [entry(), questions(), hint(), ...(readings.length ? [group(t("Readings"), list(readings)), base(), outline(), holes()] : [])];
}

function entry() {
  const box = h("textarea", { id: fresh("t"), rows: "5", "data-key": "tape-text", spellcheck: "false", autocapitalize: "characters", placeholder: "A B 340\nA C 412,5\nB-C 12 3/16 in", oninput: () => { kept.text = box.value; }, value: kept.text,
    onkeydown: (e) => { if (e.key === "Enter" && (e.ctrlKey || e.metaKey)) { e.preventDefault(); take(); } } });
  return h("fieldset", {}, h("legend", {}, t("Type or paste readings")), h("label", { for: box.id, class: "hint" }, t("Two marks and the distance on each line: A B 340, or A-C 12 3/16. The first line is the base.")), box,
    h("p", { class: "row" }, button(t("Take over"), take, { class: "main" })),
    kept.refused.length ? h("ul", { class: "findings" }, kept.refused.map((r) => h("li", { class: "error" }, h("code", {}, r.line), h("span", { class: "fix" }, r.why)))) : null);
}

// New readings are added; one taped again replaces what stood there.
async function take() {
  if (!kept.text.trim()) return;
  let found;
  try { found = await post("/api/tape/read", { text: kept.text }); } catch (fault) { tell(fault.text, true); return; }
  const now = at(["survey", "tape"]) || [];
  const same = (r, o) => (r.from === o.from && r.to === o.to) || (r.from === o.to && r.to === o.from);
  const fresh_ = new Map();
  const changes = [];
  for (const r of found.readings) {
    const i = now.findIndex((o) => same(r, o));
    if (i >= 0) changes.push(setTo(["survey", "tape", i, "length"], { typed: r.typed }));
    else fresh_.set([r.from, r.to].sort().join(" "), r);
  }
  const rows = [...fresh_.values()].map((r) => ({ from: r.from, to: r.to, length: { typed: r.typed } }));
  if (rows.length && !at(["survey", "base"]) && !at(["survey", "known"])) changes.push(setTo(["survey", "base"], [rows[0].from, rows[0].to]));
  if (rows.length && !now.length) changes.push(setTo(["survey", "tape"], rows));
  else rows.forEach((r) => changes.push(added(["survey", "tape"], r)));
  kept.refused = found.refused;
  kept.text = found.refused.map((r) => r.line).join("\n");
  if (changes.length && await change(changes, t("{n} readings", { n: found.readings.length }))) tell(t("{n} readings taken over", { n: found.readings.length }));
  else if (!changes.length) render();
}

const WORD = { good: () => t("fits"), look: () => t("look"), wrong: () => t("tape it again"), unchecked: () => t("not checked by others") };

function list(readings) {
  const grades = new Map((tape?.readings || []).map((r) => [r.row, r]));
  return h("ol", { class: "readings" }, readings.map((r, i) => {
    const g = grades.get(i);
    return h("li", { class: g ? g.grade : "waiting" }, h("span", { class: "pair" }, `${r.from} – ${r.to}`), lengthField(["survey", "tape", i, "length"], t("From {a} to {b}", { a: r.from, b: r.to }), { optional: false }),
      h("span", { class: "misfit" }, g ? `${g.residual_mm > 0 ? "+" : ""}${metric(g.residual_mm, 1)} mm · ${WORD[g.grade]()}` : t("waits for more readings")),
      button("✕", () => change([dropped(["survey", "tape", i])], t("Reading taken away")), { class: "small", "aria-label": t("Take away {a} to {b}", { a: r.from, b: r.to }) }));
  }));
}

function hint() {
  const out = [];
  for (const w of (tape?.waiting || []).slice(0, 6)) out.push(h("li", {}, w.have >= 2 ? t("Point {name}: not placed yet.", { name: w.name }) : t("Point {name} has {have} reading: it needs two or more.", { name: w.name, have: w.have })));
  if (tape?.trouble) out.push(h("li", { class: "error" }, [tape.trouble.message, tape.trouble.fix].filter(Boolean).join(" – ")));
  for (const f of (tape?.findings || []).filter((x) => x.severity !== "note")) out.push(h("li", { class: f.severity }, f.message, f.fix ? h("span", { class: "fix" }, f.fix) : null));
  const n = tape?.next;
  if (n) out.push(h("li", { class: "next" }, h("strong", {}, t("Tape next: {a} to {b}", { a: n.from, b: n.to })), " ", t("about {far}. It makes {a} sure to {then} instead of {now}.", { far: length(n.expect_mm, 0), a: n.from, then: length(n.error_mm, 2), now: length(n.now_mm, 2) })));
  return out.length ? h("ul", { class: "findings", "aria-label": t("What to do next") }, out) : null;
}

function questions() {
  const q = tape?.questions?.[0];
  if (!q) return null;
  const pick = (side) => {
    const sides = at(["survey", "side"]) || [];
    const i = sides.findIndex((x) => x.point === q.point);
    const value = { point: q.point, of: q.of, side };
    change([i >= 0 ? setTo(["survey", "side", i], value) : sides.length ? added(["survey", "side"], value) : setTo(["survey", "side"], [value])], t("Which figure is right"));
  };
  return h("section", { class: "question" }, h("h2", {}, t("Which figure is right?")), h("p", {}, t("The readings fit both. Look at the face that the drawing shows: where does {name} lie?", { name: q.point })),
    h("div", { class: "pictures" }, ["left", "right"].map((side) => h("button", { type: "button", class: "picture", onclick: () => pick(side) }, little(q[side], q), h("span", {}, side === "left" ? t("{name} on the left of {a} to {b}", { name: q.point, a: q.of[0], b: q.of[1] }) : t("{name} on the right of {a} to {b}", { name: q.point, a: q.of[0], b: q.of[1] }))))));
}

// Both figures at one scale, so that they can be held against the part.
function little(points, q) {
  const both = [...Object.values(q.left), ...Object.values(q.right)];
  const xs = both.map((p) => p[0]);
  const ys = both.map((p) => p[1]);
  const [x0, x1, y0, y1] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const k = 150 / Math.max(x1 - x0, y1 - y0, 1);
  const to = (p) => [20 + (p[0] - x0) * k, 20 + (y1 - p[1]) * k];
  const pairs = (at(["survey", "tape"]) || []).filter((r) => points[r.from] && points[r.to]);
  return s("svg", { viewBox: `0 0 ${40 + (x1 - x0) * k} ${40 + (y1 - y0) * k}`, "aria-hidden": "true" }, pairs.map((r) => s("path", { class: r.from === q.of[0] && r.to === q.of[1] ? "base" : "", d: `M${to(points[r.from]).join(" ")}L${to(points[r.to]).join(" ")}` })),
    Object.entries(points).map(([name, p]) => s("text", { x: to(p)[0], y: to(p)[1] - 6, class: name === q.point ? "asked" : "" }, name)));
}

const names = () => [...new Set((at(["survey", "tape"]) || []).flatMap((r) => [r.from, r.to]))];

function base() {
  const now = at(["survey", "base"]) || [];
  if (at(["survey", "known"])) return null;
  const select = (i, label) => {
    const el = h("select", { id: fresh("f"), "data-key": `base-${i}`, onchange: () => { const next = [...now]; next[i] = el.value; if (next[0] !== next[1]) change([setTo(["survey", "base"], next)], t("Base line")); } }, names().map((n) => h("option", { value: n, selected: n === now[i] }, n)));
    el.value = now[i] ?? "";
    return h("div", { class: "field" }, h("label", { for: el.id }, label), h("span", { class: "control" }, el));
  };
  return group(t("Base line and tape"), h("div", { class: "two" }, select(0, t("Origin")), select(1, t("Along x"))), lengthField(["survey", "reading_error"], t("One reading is good to"), { placeholder: "0.5" }));
}

// The outline is pointed out corner by corner; holes sit at the points that are left.
function outline() {
  const corners = (at(["plate", "outline"]) || []).map((c) => c.point).filter(Boolean);
  const chosen = kept.picked.length ? kept.picked : corners;
  const flip = (name) => { kept.picked = chosen.includes(name) ? chosen.filter((x) => x !== name) : [...chosen, name]; render(); };
  const old = at(["plate", "outline"]) || [];
  const use = async () => {
    const gone = ["shape", "width", "height", "corner_radius", "diameter", "drawing", "drawing_units", "drawing_length", "frame", "part", "repair", "layers", "drawn_hole"].filter((k) => at(["plate", k]) !== undefined).map((k) => dropped(["plate", k]));
    const value = chosen.map((point) => { const was = old.find((c) => c.point === point); return was?.fillet === undefined ? { point } : { point, fillet: was.fillet }; });
    if (await change([...gone, setTo(["plate", "outline"], value)], t("Outline from taped points"))) kept.picked = [];
  };
  const unused = chosen.length !== corners.length || chosen.some((n, i) => n !== corners[i]);
  return group(t("Outline: touch the corners in order round the plate"), h("div", { class: "options" }, names().map((n) => button(chosen.includes(n) ? `${chosen.indexOf(n) + 1}: ${n}` : n, () => flip(n), { "aria-pressed": String(chosen.includes(n)), "data-key": `corner-${n}` }))),
    unused ? h("p", { class: "row" }, chosen.length >= 3 ? button(t("Make this the outline"), use, { class: "main" }) : h("span", { class: "hint" }, t("Three corners or more.")), button(t("Begin again"), () => { kept.picked = []; render(); })) : null,
    corners.length ? h("div", {}, (at(["plate", "outline"]) || []).map((c, i) => (c.point ? lengthField(["plate", "outline", i, "fillet"], t("Corner radius at {name}", { name: c.point }), { placeholder: "0" }) : null))) : null);
}

function holes() {
  const corners = new Set((at(["plate", "outline"]) || []).map((c) => c.point));
  const drilled = new Map((at(["plate", "hole"]) || []).map((x, i) => [x.point, i]).filter(([p]) => p));
  const rest = names().filter((n) => !corners.has(n));
  if (!rest.length) return null;
  const size = h("input", { id: fresh("f"), type: "text", "data-key": "tape-hole", value: kept.diameter, placeholder: "11", oninput: () => { kept.diameter = size.value; } });
  const add = (n) => change([added(["plate", "hole"], { name: n, point: n, diameter: { typed: kept.diameter || "11" }, purpose: choices.purpose[0] })], t("Hole {name}", { name: n }));
  return group(t("Holes at taped points"), h("div", { class: "field" }, h("label", { for: size.id }, t("Diameter of the next hole")), h("span", { class: "control" }, size, h("span", { class: "unit" }, job.data.units))),
    h("div", { class: "options" }, rest.map((n) => (drilled.has(n) ? button(`${n} ✓`, () => change([dropped(["plate", "hole", drilled.get(n)])], t("{what} taken away", { what: n })), { "aria-pressed": "true", "data-key": `hole-${n}` }) : button(t("Hole at {name}", { name: n }), () => add(n), { "data-key": `hole-${n}` })))));
}
