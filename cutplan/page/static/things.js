// What lies on the drawing and can be pointed at: each thing with its keys in the job file and how it is moved.

import { added, at, choices, dropped, job, setTo } from "/files/store.js";
import { t } from "/files/words.js";

const point = (p) => [{ mm: p[0] }, { mm: p[1] }];
const spot = (key, place) => setTo([...key, "at"], point(place));

// A thing: id, kind, name, key, places [{at, moved(to) -> changes}], whole(dx, dy) -> changes.
let known = { of: null, all: [] };
export function things() {
  const shape = job.shape;
  if (!shape) return [];
  if (known.of !== shape) known = { of: shape, all: listed(shape) };
  return known.all;
}

function listed(shape) {
  return [...pads(shape), ...holes(shape), ...ribs(shape), ...brace(shape), ...datum(shape), ...corners(shape), ...walls(shape), ...sizes(shape)];
}

function pads(shape) {
  return shape.pads.map((p, i) => ({
    id: `pad-${i}`, kind: "pad", name: p.name, title: t("Pad {name}", { name: p.name }), key: p.key, radius: p.d / 2,
    places: [{ at: p.at, moved: p.free && at([...p.key, "hole"]) === undefined ? (to) => [spot(p.key, to)] : null }],
    tied: at([...p.key, "hole"]),
  }));
}

function holes(shape) {
  return shape.holes.map((hole, i) => {
    const free = hole.key && hole.free && hole.index === 0 && at([...hole.key, "circle_diameter"]) === undefined;
    return {
      id: `hole-${i}`, kind: "hole", name: hole.name, title: t("Hole {name}", { name: hole.name }), key: hole.key || null,
      radius: (hole.d || 10) / 2, hole, places: [{ at: hole.at, moved: free ? (to) => [spot(hole.key, to)] : null }],
    };
  });
}

function ribs(shape) {
  return shape.ribs.map((r, i) => ({
    id: `rib-${i}`, kind: "rib", name: r.name, title: t("Rib {name}", { name: r.name }), key: r.key, chain: r.path,
    places: r.path.map((p, k) => ({ at: p, moved: (to) => [setTo([...r.key, "path", k], point(to))] })),
  }));
}

function brace(shape) {
  if (!shape.brace) return [];
  const b = shape.brace;
  return [{
    id: "brace", kind: "brace", name: "", title: t("Brace"), key: ["brace"], chain: [b.from, b.to],
    places: [["from", b.from], ["to", b.to]].map(([end, p]) => ({ at: p, moved: (to) => [setTo(["brace", end], point(to))] })),
  }];
}

function datum(shape) {
  return shape.datum.map(([a, b], i) => ({
    id: `datum-${i}`, kind: "datum", name: String(i + 1), title: t("Datum line {n}", { n: i + 1 }), key: ["marks", "datum", i], chain: [a, b],
    places: [["from", a], ["to", b]].map(([end, p]) => ({ at: p, moved: (to) => [setTo(["marks", "datum", i, end], point(to))] })),
  }));
}

function corners(shape) {
  return (shape.corners || []).map((c) => ({
    id: `corner-${c.index}`, kind: "corner", name: String(c.index + 1), title: c.point ? t("Corner {name}", { name: c.point }) : t("Corner {n}", { n: c.index + 1 }),
    key: ["plate", "outline", c.index], places: [{ at: c.at, moved: c.free ? (to) => [spot(["plate", "outline", c.index], to)] : null }],
  }));
}

const SIDES = [["left", 0, -1], ["right", 2, 1], ["bottom", 1, -1], ["top", 3, 1]];
const wallName = (side) => ({ left: t("Left wall of the box"), right: t("Right wall of the box"), bottom: t("Lower wall of the box"), top: t("Upper wall of the box") })[side];

function walls(shape) {
  if (!shape.skin || !shape.opening_box) return [];
  const [x0, y0, x1, y1] = shape.skin;
  return SIDES.map(([side, axis, sign]) => {
    const middle = axis % 2 === 0 ? [shape.skin[axis], (y0 + y1) / 2] : [(x0 + x1) / 2, shape.skin[axis]];
    const base = shape.opening_box[axis];
    return {
      id: `wall-${side}`, kind: "wall", name: side, title: wallName(side), key: ["skin", "walls"], field: side, along: axis % 2 === 0 ? "x" : "y",
      places: [{ at: middle, along: axis % 2 === 0 ? "x" : "y", moved: (to) => [setTo(["skin", "walls", side], { mm: Math.max(1, sign * (to[axis % 2] - base)) })] }],
    };
  });
}

function sizes(shape) {
  if (at(["plate", "shape"]) !== "rectangle") return [];
  const [x0, y0, x1, y1] = shape.box;
  return [["width", "x", [x1, (y0 + y1) / 2]], ["height", "y", [(x0 + x1) / 2, y1]]].map(([field, along, place]) => ({
    id: `size-${field}`, kind: "size", name: field, title: field === "width" ? t("Width of the plate") : t("Height of the plate"), key: ["plate"], field, along,
    places: [{ at: place, along, moved: (to) => [setTo(["plate", field], { mm: Math.max(1, along === "x" ? to[0] - x0 : to[1] - y0) })] }],
  }));
}

// New things come to the middle of the plate, to be dragged from there.
export function newThing(kind) {
  const [x0, y0, x1, y1] = job.shape ? job.shape.box : [0, 0, 100, 100];
  const c = [Math.round((x0 + x1) / 2), Math.round((y0 + y1) / 2)];
  const number = (list) => (at(list) || []).length + 1;
  const inch = job.data.units === "in";
  const mm = (v) => ({ mm: inch ? Math.round(v / 3.175) * 3.175 : v });
  const all = {
    hole: () => [added(["plate", "hole"], { at: point(c), diameter: mm(11), purpose: choices.purpose[0] })],
    pad: () => [added(["pad"], { name: freeName("P", number(["pad"])), at: point(c), diameter: mm(60) })],
    rib: () => [added(["skin", "rib"], { name: `R${number(["skin", "rib"])}`, path: [point([c[0], y0 - 20]), point([c[0], y1 + 20])], knowledge: "suspected" })],
    brace: () => [setTo(["brace"], { kind: "tube", size: mm(38), wall: mm(3), from: point([x0 + 20, c[1]]), to: point([x1 - 20, c[1]]) })],
    datum: () => [added(["marks", "datum"], { from: point([x0, c[1]]), to: point([x1, c[1]]) })],
  };
  return all[kind]();
}

function freeName(stem, number) {
  const taken = new Set((job.data.pad || []).map((p) => p.name));
  let n = number;
  while (taken.has(`${stem}${n}`)) n += 1;
  return `${stem}${n}`;
}

export function removal(thing) {
  if (["wall", "size"].includes(thing.kind) || !thing.key) return null;
  if (thing.kind === "corner" && (at(["plate", "outline"]) || []).length < 4) return null;
  return [dropped(thing.key)];
}
