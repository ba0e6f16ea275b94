// What lies around the plate: skin, walls, ribs, pads and brace.

import { button, h } from "/files/dom.js";
import { choiceField, group, lengthField, pointField, switchField, textField } from "/files/fields.js";
import { choose, hand } from "/files/hands.js";
import { at, change, choices, job } from "/files/store.js";
import { newThing } from "/files/things.js";
import { t } from "/files/words.js";

export const title = () => t("Around it");

export function build() {
  return [
    group(t("Pads: what must stay flat and in place"), list("pad", job.data.pad, (p) => p.name), addButton("pad", t("Add a pad"), () => `pad-${(job.data.pad || []).length}`)),
    group(t("Brace: what holds them while welding"), job.data.brace ? fieldsOf({ kind: "brace", key: ["brace"] }) : h("p", {}, t("No brace.")),
      job.data.brace ? null : addButton("brace", t("Add a brace"), () => "brace")),
    group(t("Skin: the wall that the opening is cut out of"), lengthField(["skin", "thickness"], t("Thickness")), textField(["skin", "steel"], t("Steel"), { placeholder: "mild" }), lengthField(["skin", "box_depth"], t("Free depth behind"))),
    group(t("From the opening to the box's walls"), ["left", "right", "bottom", "top"].map((side) => lengthField(["skin", "walls", side], sideName(side), { placeholder: side === "left" || side === "right" ? "60" : "30" }))),
    group(t("Ribs hidden behind the skin"), list("rib", job.data.skin?.rib, (r, i) => r.name || `R${i + 1}`), addButton("rib", t("Add a rib"), () => `rib-${(job.data.skin?.rib || []).length}`)),
    group(t("Directions and datum lines"), ...directions()),
  ];
}

const sideName = (side) => ({ left: t("left"), right: t("right"), bottom: t("below"), top: t("above") })[side];

function list(kind, entries, name) {
  if (!entries?.length) return h("p", {}, t("None yet."));
  return h("ul", { class: "things" }, entries.map((e, i) => h("li", { class: hand.chosen === `${kind}-${i}` ? "here" : "" }, button(name(e, i) || `${i + 1}`, () => choose(`${kind}-${i}`), { class: "pick" }))));
}

function addButton(kind, text, id) {
  return button(text, async () => {
    const next = id();
    if (await change(newThing(kind), text)) choose(next);
  }, { class: "add" });
}


function directions() {
  const way = (key, label) => {
    const now = at(["marks", key]);
    const set = (deg) => change([deg === null ? { do: "drop", at: ["marks", key], was: now ?? null } : { do: "set", at: ["marks", key], value: deg, was: now ?? null }], label);
    const ways = [[0, "→"], [90, "↑"], [180, "←"], [270, "↓"]];
    return h("div", { class: "field" }, h("span", { class: "label" }, label), h("span", { class: "options", role: "group", "aria-label": label },
      ways.map(([deg, arrow]) => button(arrow, () => set(deg), { "aria-pressed": String(now !== undefined && ((now % 360) + 360) % 360 === deg), "aria-label": `${label} ${arrow}` })),
      now === undefined ? null : button(t("not in the plate"), () => set(null))));
  };
  return [
    h("p", { class: "hint" }, t("Say where two of the vehicle's directions point on the drawing.")),
    way("forward_deg", t("Forward")), way("up_deg", t("Up")), way("left_deg", t("Left of the vehicle")),
    textField(["marks", "side_out"], t("The face you see"), { placeholder: "outside" }),
    choiceField(["marks", "hand"], t("Hand"), choices.hand, ""),
    switchField(["marks", "mirrored_copy"], t("Also make the other hand: the mirrored plate is drawn beside this one")),
    list("datum", job.data.marks?.datum, (_, i) => t("Datum line {n}", { n: i + 1 })), addButton("datum", t("Add a datum line"), () => `datum-${(job.data.marks?.datum || []).length}`),
  ];
}

export function fieldsOf(thing) {
  const key = thing.key;
  if (thing.kind === "pad") {
    const holes = [...new Set((job.shape?.holes || []).slice(0, 200).map((x) => x.name))];
    return [textField([...key, "name"], t("Name")), at([...key, "hole"]) !== undefined ? choiceField([...key, "hole"], t("At the hole"), holes, "") : pointField([...key, "at"], t("Middle")),
      lengthField([...key, "diameter"], t("Size of the face"), { placeholder: "40" }), lengthField([...key, "flatness"], t("Flat within"), { placeholder: "0.5" }), lengthField([...key, "pitch"], t("In place within"), { placeholder: "0.5" })];
  }
  if (thing.kind === "rib") {
    return [textField([...key, "name"], t("Name")), ...(at([...key, "path"]) || []).map((_, i) => pointField([...key, "path", i], t("Point {n}", { n: i + 1 }))),
      choiceField([...key, "knowledge"], t("How sure"), choices.knowledge, "suspected"), lengthField([...key, "depth"], t("Depth behind the skin")), lengthField([...key, "thickness"], t("Thickness"), { placeholder: "2" })];
  }
  if (thing.kind === "brace") {
    return [choiceField([...key, "kind"], t("Kind"), choices.brace_kind, "tube"), lengthField([...key, "size"], t("Outside width"), { placeholder: "38" }), lengthField([...key, "wall"], t("Wall"), { placeholder: "3" }), pointField([...key, "from"], t("From")), pointField([...key, "to"], t("To"))];
  }
  if (thing.kind === "wall") return [lengthField([...key, thing.field], t("From the opening to the wall, {side}", { side: sideName(thing.field) }))];
  if (thing.kind === "size") return [lengthField([...key, thing.field], thing.title)];
  if (thing.kind === "datum") return [pointField([...key, "from"], t("From")), pointField([...key, "to"], t("To"))];
  if (thing.kind === "corner") return [at([...key, "at"]) ? pointField([...key, "at"], t("Place")) : h("p", {}, t("This corner is a taped point.")), lengthField([...key, "fillet"], t("Radius"), { placeholder: "0" })];
  return [];
}
