// The taped points of a study: forward, left and up of each, and how well it could be read.

import { button, h } from "/files/dom.js";
import { group, input, numberField } from "/files/fields.js";
import { study, studyFile } from "/files/study_store.js";
import { t } from "/files/words.js";

const of = studyFile;
const AXES = [() => t("forward"), () => t("left"), () => t("up")];
const BODY = [["low", () => t("Lower ball joint")], ["high", () => t("Upper ball joint, or top mount")], ["outer", () => t("Tie rod at the arm")], ["inner", () => t("Tie rod at the gear")], ["wheel", () => t("Tyre on the road, middle")]];
const ARMS = [["lower_front", () => t("Lower arm, front pivot")], ["lower_rear", () => t("Lower arm, rear pivot")], ["upper_front", () => t("Upper arm, front pivot")], ["upper_rear", () => t("Upper arm, rear pivot")], ["strut", () => t("Second point of the strut")]];

export function points() {
  const sides = [["left", t("Points of the left side")], ["right", t("Points of the right side")]].filter(([side]) => study.data[side]);
  return [...sides.map(([side, words]) => group(words, h("p", { class: "hint" }, t("From one origin: forward of the front axle, left of the vehicle's middle, up from the road.")), ...rows(side))),
    study.data.right ? null : h("p", { class: "row" }, h("span", {}, t("The right side is the mirror image of the left.")), button(t("Measure the right side too"), mirrored))].filter(Boolean);
}

function rows(side) {
  const data = study.data[side];
  const arms = data.arms;
  const by_angles = data.caster_deg !== undefined || data.inclination_deg !== undefined;
  return [...BODY.filter(([key]) => !(key === "high" && by_angles)).map(([key, label]) => point([side, key], label())),
    by_angles ? h("div", { class: "two" }, numberField([side, "caster_deg"], t("Caster"), "°", { of }), numberField([side, "inclination_deg"], t("Inclination of the steering axis"), "°", { of })) : null,
    arms ? h("div", {}, h("strong", {}, t("Pivots of the control arms")), ...ARMS.filter(([key]) => arms[key] !== undefined).map(([key, label]) => point([side, "arms", key], label())), button(t("Without control arms"), () => of.change([{ do: "drop", at: [side, "arms"] }], t("Without control arms")))) : null].filter(Boolean);
}

function point(path, label) {
  const now = of.at(path);
  const inner = Array.isArray(now) ? path : [...path, "at"];
  const one = (i) => {
    const el = input([...inner, i], label, (text) => ({ typed: text }), { optional: false, of });
    el.setAttribute("aria-label", `${label} ${AXES[i]()}`);
    return h("span", { class: "half" }, h("span", { class: "axis", "aria-hidden": "true" }, AXES[i]()), el);
  };
  const found = of.about(path);
  return h("div", { class: "field spot", role: "group", "aria-label": label }, h("span", { class: "label" }, label), h("span", { class: "control" }, one(0), one(1), one(2), error(path, now, label)),
    found.length ? h("p", { class: "note error" }, found.map((f) => [f.message, f.fix].filter(Boolean).join(": ")).join(" · ")) : null);
}

// The reading error of one point: for all three ways, or one for each.
function error(path, now, label) {
  const own = Array.isArray(now) ? undefined : now?.error;
  const el = h("input", { type: "text", autocomplete: "off", "data-key": [of.name, ...path, "error"].join("."), "aria-label": `${label} ±`, placeholder: String(of.at(["reading_error"]) ?? "1"), value: own === undefined ? "" : Array.isArray(own) ? own.join(" ") : String(own) });
  el.addEventListener("blur", () => {
    const text = el.value.trim();
    const was = own === undefined ? "" : Array.isArray(own) ? own.join(" ") : String(own);
    if (!el.isConnected || text === was) return;
    const each = text.split(/\s+/);
    const value = each.length === 3 && each.every((x) => /^[\d.,]+$/.test(x)) ? each.map((x) => ({ typed: x })) : { typed: text };
    const at_ = Array.isArray(now) ? now : now.at;
    if (!text) of.change([{ do: "set", at: path, value: at_ }], label);
    else if (Array.isArray(now)) of.change([{ do: "set", at: path, value: { at: at_, error: value } }], label);
    else of.change([{ do: "set", at: [...path, "error"], value }], label);
  });
  return h("span", { class: "half" }, h("span", { class: "axis", "aria-hidden": "true" }, "±"), el);
}

// The other side begins as the mirror image: what was measured on it is then put in its place.
function mirrored() {
  const turned = (value) => (Array.isArray(value) ? [value[0], opposite(value[1]), value[2]] : value && typeof value === "object" ? { ...value, at: turned(value.at) } : value);
  const opposite = (y) => (typeof y === "number" ? -y : String(y).startsWith("-") ? String(y).slice(1) : `-${y}`);
  const right = {};
  for (const [key, value] of Object.entries(study.data.left)) right[key] = key === "arms" ? Object.fromEntries(Object.entries(value).map(([k, v]) => [k, turned(v)])) : turned(value);
  of.change([{ do: "set", at: ["right"], value: right }], t("Measure the right side too"));
}
