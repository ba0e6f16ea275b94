// Pointer and keys on the drawing: choose, drag with snapping, pan with one finger, zoom with two.

import { fill, s, tell } from "/files/dom.js";
import { fit, follow, overlay, pan, svgElement, toScreen, toWorld, view, zoom } from "/files/drawing.js";
import { far, nearest } from "/files/geometry.js";
import * as tape from "/files/measure.js";
import { catches, snapped } from "/files/snap.js";
import { change, job } from "/files/store.js";
import { removal, things } from "/files/things.js";
import { length, step } from "/files/units.js";
import { t } from "/files/words.js";

export const hand = { chosen: "", place: 0, snap: true, tool: "move", onchoose: () => {} };
let drag = null;
const fingers = new Map();
let pinch = null;

export const chosenThing = () => things().find((x) => x.id === hand.chosen) || null;

// The same thing as the job has it now.
const now = (thing) => things().find((x) => x.id === thing.id);

export function choose(id, place = 0) {
  hand.chosen = id; hand.place = place;
  mark();
  hand.onchoose();
}

function hit(p, reach) {
  let best = null;
  for (const thing of things()) {
    thing.places.forEach((place, i) => {
      const gap = far(p, place.at);
      const own = thing.kind === "pad" || thing.kind === "hole" ? Math.max(0, gap - Math.min(thing.radius, reach * 3)) : gap;
      const weight = own + (thing.id === hand.chosen ? -reach * 0.3 : 0) + (thing.kind === "pad" ? reach * 0.2 : 0);
      if (own <= reach && (!best || weight < best.weight)) best = { thing, place: i, weight };
    });
    if (thing.chain) {
      for (let i = 1; i < thing.chain.length; i += 1) {
        const q = nearest([[...thing.chain[i - 1], ...thing.chain[i]]], p);
        if (q.gap < reach * 0.7 && !best) best = { thing, place: -1, weight: q.gap + reach };
      }
    }
  }
  return best;
}

const local = (e) => {
  const box = svgElement().getBoundingClientRect();
  return [e.clientX - box.left, e.clientY - box.top];
};

// The chosen thing with its handles, and while it moves: where it would land and how far that is.
export function mark() {
  const out = [];
  const thing = chosenThing();
  if (thing) {
    thing.places.forEach((place, i) => {
      const at = drag && drag.moved && drag.place === i ? drag.to : place.at;
      const [x, y] = toScreen(at);
      out.push(s("circle", { cx: x, cy: y, r: place.moved ? 13 : 9, class: place.moved ? `handle${i === hand.place ? " at" : ""}` : "handle fixed" }));
    });
    if (thing.kind === "pad" || thing.kind === "hole") {
      const [x, y] = toScreen(drag && drag.moved ? drag.to : thing.places[0].at);
      out.push(s("circle", { cx: x, cy: y, r: Math.max(4, thing.radius * view.scale), class: "chosen" }));
    }
  }
  if (drag && drag.moved) out.push(...trace());
  out.push(...tape.marks());
  fill(overlay(), out);
}

function trace() {
  const out = [];
  for (const [axis, value] of drag.guides) {
    const [x, y] = toScreen([value, value]);
    out.push(s("path", { class: "guide", d: axis === "x" ? `M${x} 0V${view.height}` : `M0 ${y}H${view.width}` }));
  }
  const [x, y] = toScreen(drag.to);
  const edge = nearest(job.shape.outline, drag.to);
  const words = [`${length(drag.to[0])} · ${length(drag.to[1])}`];
  if (edge && drag.thing.kind !== "wall") {
    words.push(t("edge {far}", { far: length(Math.max(0, edge.gap - (drag.thing.kind === "hole" ? drag.thing.radius : 0))) }));
    out.push(s("path", { class: "reach", d: `M${x} ${y}L${toScreen(edge.at).join(" ")}` }));
  }
  const left = x > view.width - 200;
  words.forEach((w, i) => out.push(s("text", { x: left ? x - 20 : x + 20, y: Math.max(20, y - 34 + 18 * i), class: `moving${left ? " left" : ""}` }, w)));
  return out;
}

function down(e) {
  if (e.button > 0) return;
  const p = local(e);
  settle();
  fingers.set(e.pointerId, p);
  svgElement().setPointerCapture(e.pointerId);
  if (fingers.size === 2) { drag = null; pinch = [...fingers.values()]; mark(); return; }
  const reach = (e.pointerType === "touch" ? 30 : 16) / view.scale;
  const world = toWorld(p);
  if (hand.tool === "tape") { tape.pick(world, reach, things()); mark(); return; }
  const found = hit(world, reach);
  if (!found) { drag = { pan: true, from: p, moved: false }; return; }
  if (found.thing.id !== hand.chosen || found.place !== hand.place) choose(found.thing.id, Math.max(0, found.place));
  const place = found.place < 0 ? null : found.thing.places[found.place];
  if (place?.moved) drag = { thing: found.thing, place: found.place, start: place.at, grip: [place.at[0] - world[0], place.at[1] - world[1]], from: p, to: place.at, known: null, guides: [], moved: false };
  else { drag = { pan: true, from: p, moved: false, tied: found.thing }; }
}

function move(e) {
  if (!fingers.has(e.pointerId)) return;
  const p = local(e);
  if (pinch && fingers.size === 2) { twoFingers(e.pointerId, p); return; }
  fingers.set(e.pointerId, p);
  if (!drag) return;
  if (!drag.moved && far(p, drag.from) < 5) return;
  if (drag.pan) {
    drag.moved = true;
    pan(p[0] - drag.from[0], p[1] - drag.from[1]);
    drag.from = p;
    return;
  }
  drag.moved = true;
  drag.known ||= catches(drag.thing.id);
  const world = toWorld(p);
  const raw = [world[0] + drag.grip[0], world[1] + drag.grip[1]];
  const along = drag.thing.places[drag.place].along;
  if (along === "x") raw[1] = drag.start[1];
  if (along === "y") raw[0] = drag.start[0];
  const caught = hand.snap && !e.altKey ? snapped(raw, drag.known, 14 / view.scale, view.scale, along) : { at: raw, guides: [] };
  drag.to = caught.at;
  drag.guides = caught.guides;
  mark();
}

function twoFingers(id, p) {
  const before = [...fingers.values()];
  fingers.set(id, p);
  const after = [...fingers.values()];
  const middle = (q) => [(q[0][0] + q[1][0]) / 2, (q[0][1] + q[1][1]) / 2];
  const [a, b] = [middle(before), middle(after)];
  pan(b[0] - a[0], b[1] - a[1]);
  zoom(far(after[0], after[1]) / Math.max(1, far(before[0], before[1])), b);
}

async function up(e) {
  fingers.delete(e.pointerId);
  if (fingers.size < 2) pinch = null;
  const done = drag;
  if (!done) return;
  if (done.thing && done.moved && e.type !== "pointercancel") {
    const { thing, place, to } = done;
    await change(() => now(thing)?.places[place]?.moved?.(to), t("{what} moved", { what: thing.title }));
  } else if (!done.moved && done.pan && !done.tied) { choose(""); } else if (done.tied && done.moved === false && done.tied.kind === "hole" && !done.tied.key) { tell(t("This hole comes from the drawing: its place is fixed there.")); }
  if (drag === done) drag = null;
  mark();
}

function key(e) {
  if (drag?.nudged && !e.key.startsWith("Arrow") && !["Shift", "Alt"].includes(e.key)) settle();
  if (e.ctrlKey || e.metaKey) return;
  const all = things();
  const thing = chosenThing();
  const size = e.shiftKey ? 10 : e.altKey ? 0.1 : 1;
  const ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
  const acts = {
    "+": () => zoom(1.25), "=": () => zoom(1.25), "-": () => zoom(0.8), 0: () => fit(),
    n: () => next(all, 1), p: () => next(all, -1), Escape: () => { tape.clear(); choose(""); },
    Delete: () => { if (thing && removal(thing)) { choose(""); change(() => now(thing) && removal(now(thing)), t("{what} taken away", { what: thing.title })); } },
  };
  if (ways[e.key]) {
    e.preventDefault();
    const place = thing?.places[hand.place];
    if (!place) { pan(-ways[e.key][0] * 40, ways[e.key][1] * 40); return; }
    if (!place.moved) { tell(t("This is tied to something else and does not move by itself.")); return; }
    nudge(thing, place, ways[e.key], step() * size);
  } else if (acts[e.key]) {
    e.preventDefault();
    acts[e.key]();
  }
}

// Steps by key add up while they come; they are one change when they pause.
let pausing = 0;
function nudge(thing, place, [x, y], by) {
  const from = drag?.nudged && drag.thing.id === thing.id && drag.place === hand.place ? drag.to : place.at;
  drag = { thing, place: hand.place, to: [from[0] + x * by, from[1] + y * by], guides: [], moved: true, nudged: true };
  clearTimeout(pausing);
  pausing = setTimeout(settle, 350);
  mark();
}

async function settle() {
  clearTimeout(pausing);
  const done = drag;
  if (!done?.nudged) return;
  await change(() => now(done.thing)?.places[done.place]?.moved?.(done.to), t("{what} moved", { what: done.thing.title }));
  if (drag === done) drag = null;
  mark();
}

function next(all, way) {
  if (!all.length) return;
  const flat = all.flatMap((x) => x.places.map((_, i) => [x.id, i]));
  const now = flat.findIndex(([id, i]) => id === hand.chosen && i === hand.place);
  const [id, i] = flat[(now + way + flat.length) % flat.length];
  choose(id, i);
  tell(chosenThing().title);
}

export function takeInHand() {
  const svg = svgElement();
  svg.addEventListener("pointerdown", down);
  svg.addEventListener("pointermove", move);
  svg.addEventListener("pointerup", up);
  svg.addEventListener("pointercancel", up);
  svg.addEventListener("wheel", (e) => { e.preventDefault(); zoom(Math.exp(-e.deltaY * 0.0015), local(e)); }, { passive: false });
  svg.addEventListener("keydown", key);
  svg.addEventListener("blur", settle);
  follow(mark);
}
