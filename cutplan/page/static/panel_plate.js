// The plate: what its outline comes from, its steel, and its holes.

import { button, h } from "/files/dom.js";
import { choose, hand } from "/files/hands.js";
import { choiceField, group, lengthField, numberField, textField } from "/files/fields.js";
import { added, at, change, choices, dropped, job, setTo } from "/files/store.js";
import { newThing } from "/files/things.js";
import { length } from "/files/units.js";
import { t, word } from "/files/words.js";

export const title = () => t("Plate");

export function build(show) {
  return [
    group(t("The job"), textField(["title"], t("Name"), { optional: false }), textField(["area"], t("Where on the vehicle")), textField(["revision"], t("Revision"), { placeholder: "A" }), textField(["date"], t("Date"))),
    group(t("Outline"), ...outline(show)),
    group(t("Sheet"), lengthField(["plate", "thickness"], t("Thickness"), { optional: false }), textField(["plate", "steel"], t("Steel"), { placeholder: "mild" }),
      numberField(["plate", "quantity"], t("Pieces"), "", { placeholder: "1" })),
    group(t("Holes"), ...holes()),
  ];
}

function outline(show) {
  const plate = job.data.plate || {};
  if (plate.drawing !== undefined) return [h("p", {}, t("From the drawing {name}.", { name: plate.drawing })), button(t("Look at the drawing"), () => show("drawing"))];
  if (job.data.survey?.outline) return [h("p", {}, t("From the tape readings.")), button(t("Look at the readings"), () => show("tape"))];
  if (plate.shape === "rectangle") return [lengthField(["plate", "width"], t("Width")), lengthField(["plate", "height"], t("Height")), lengthField(["plate", "corner_radius"], t("Corner radius"), { placeholder: "0" }), button(t("Turn into corners"), toCorners)];
  if (plate.shape === "round") return [lengthField(["plate", "diameter"], t("Diameter"))];
  if (Array.isArray(plate.outline)) return corners(plate.outline);
  return [h("p", {}, t("There is no outline yet.")), button(t("Rectangle"), () => change([setTo(["plate", "shape"], "rectangle"), setTo(["plate", "width"], { mm: 200 }), setTo(["plate", "height"], { mm: 120 })], t("Rectangle"))),
    button(t("From tape readings"), () => show("tape")), button(t("From a drawing"), () => show("drawing"))];
}

function corners(list) {
  return [
    h("ol", { class: "things" }, list.map((corner, i) => h("li", { class: hand.chosen === `corner-${i}` ? "here" : "" },
      button(corner.point ? t("Corner {name}", { name: corner.point }) : t("Corner {n}", { n: i + 1 }), () => choose(`corner-${i}`), { class: "pick" }),
      lengthField(["plate", "outline", i, "fillet"], t("Radius"), { placeholder: "0" })))),
    list.every((c) => c.at) ? button(t("Add a corner"), () => addCorner(list)) : null,
  ];
}

function addCorner(list) {
  const shape = job.shape;
  const [x0, y0, x1, y1] = shape ? shape.box : [0, 0, 100, 100];
  const last = shape?.corners?.[list.length - 1]?.at || [x0, y1];
  const first = shape?.corners?.[0]?.at || [x1, y0];
  change([added(["plate", "outline"], { at: [{ mm: (last[0] + first[0]) / 2 - (y1 - y0) * 0.1 }, { mm: (last[1] + first[1]) / 2 }] })], t("Corner added"));
}

function toCorners() {
  const [x0, y0, x1, y1] = job.shape.box;
  const radius = at(["plate", "corner_radius"]);
  const all = [[x0, y0], [x1, y0], [x1, y1], [x0, y1]].map(([x, y]) => ({ at: [{ mm: x }, { mm: y }], ...(radius ? { fillet: radius } : {}) }));
  const gone = ["shape", "width", "height", "corner_radius"].filter((k) => at(["plate", k]) !== undefined).map((k) => dropped(["plate", k]));
  change([...gone, setTo(["plate", "outline"], all)], t("Outline by corners"));
}

function holes() {
  const shape = job.shape;
  const add = button(t("Add a hole"), async () => {
    const count = job.shape?.holes.length || 0;
    if (await change(newThing("hole"), t("Hole added"))) choose(`hole-${count}`);
  }, { class: "add" });
  if (!shape || !shape.holes.length) return [h("p", {}, t("No holes.")), add];
  const many = shape.holes.length > 60;
  const listed = many ? shape.holes.slice(0, 60) : shape.holes;
  return [
    h("ul", { class: "things" }, listed.map((hole, i) => h("li", { class: hand.chosen === `hole-${i}` ? "here" : "" },
      button(hole.name, () => choose(`hole-${i}`), { class: "pick" }),
      h("span", { class: "what" }, hole.d ? `Ø ${length(hole.d)}` : t("other shape")), h("span", { class: `what tag purpose-${hole.purpose.replace(" ", "-")}` }, word(hole.purpose))))),
    many ? h("p", {}, t("{n} holes in all; point at the others on the drawing.", { n: shape.holes.length })) : null,
    add,
  ];
}

// What a hole is for: on its own entry where it is typed, else for all drawn holes of its diameter at once.
export function holeFields(hole) {
  if (hole.key) {
    return [pointOrName(hole.key), at([...hole.key, "diameter"]) !== undefined ? lengthField([...hole.key, "diameter"], t("Diameter"), { optional: false }) : null,
      choiceField([...hole.key, "purpose"], t("Purpose"), choices.purpose, hole.purpose), textField([...hole.key, "bolt"], t("Bolt"), { placeholder: "M10" }), textField([...hole.key, "name"], t("Name"), { placeholder: hole.name })];
  }
  return [drawnPurpose(hole)];
}

function pointOrName(key) {
  const name = at([...key, "point"]);
  if (name !== undefined) return h("p", {}, t("Its centre is the taped point {name}.", { name }));
  return pair(key);
}

const pair = (key) => h("div", { class: "two" }, lengthField([...key, "at", 0], "x", { optional: false }), lengthField([...key, "at", 1], "y", { optional: false }));

export function drawnPurpose(hole) {
  const entries = job.data.plate?.drawn_hole || [];
  const mm = (v) => (typeof v === "number" ? v * (job.data.units === "in" ? 25.4 : 1) : parseFloat(v) * (/in/.test(v) ? 25.4 : 1));
  const found = hole.d ? entries.findIndex((e) => e.at === undefined && Math.abs(mm(e.diameter) - hole.d) < 0.06) : -1;
  const same = job.shape.holes.filter((o) => !o.key && o.d && hole.d && Math.abs(o.d - hole.d) < 0.06).length;
  const set = (purpose) => change([found >= 0 ? setTo(["plate", "drawn_hole", found, "purpose"], purpose)
    : added(["plate", "drawn_hole"], hole.d ? { diameter: `${Math.round(hole.d * 1000) / 1000} mm`, purpose } : { at: [{ mm: hole.at[0] }, { mm: hole.at[1] }], purpose })], t("Purpose of holes"));
  return h("div", { class: "field" }, h("span", { class: "label" }, hole.d && same > 1 ? t("What are the {n} holes of {d} for?", { n: same, d: length(hole.d) }) : hole.d ? t("What is the hole of {d} for?", { d: length(hole.d) }) : t("What is this hole for?")),
    h("span", { class: "options", role: "group", "aria-label": t("Purpose") }, choices.purpose.map((p) => button(word(p), () => set(p), { "aria-pressed": String(hole.purpose === p), class: `tag purpose-${p.replace(" ", "-")}` }))));
}
