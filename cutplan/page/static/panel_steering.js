// The study of the steering: the place it recommends, its figures and map, and the points that it rests on.

import { button, h } from "/files/dom.js";
import { group, lengthField, numberField, textField } from "/files/fields.js";
import { at as inJob, job } from "/files/store.js";
import { points } from "/files/steering_points.js";
import { begin, placed, redo, refresh, study, studyFile, takeOver, undo } from "/files/study_store.js";
import { wishes } from "/files/steering_wishes.js";
import { length } from "/files/units.js";
import { t } from "/files/words.js";

export const title = () => t("Steering");

export function build(show, render) {
  refresh(render);
  const caution = h("p", { class: "caution" }, t("Steering is safety critical. Where local rules or the vehicle maker forbid a move, no figure here allows it."));
  if (!study.file) return [caution, h("p", {}, t("Where must a moved steering gear sit, and how exactly? A study answers from points that you tape on the vehicle. It begins with the points of an invented vehicle: put yours in their place.")), h("p", { class: "row" }, button(t("Begin a study"), begin, { class: "main" }))];
  const bar = h("p", { class: "row" }, h("strong", {}, study.file), button(t("Undo in the study"), undo, { disabled: !study.changes }), button(t("Redo in the study"), redo, { disabled: !study.redo_count }));
  return [caution, bar, trouble(), recommended(show), figures(), pictures(), ...fields()];
}

const of = studyFile;

function trouble() {
  const found = [...(study.problems || []).map((p) => ({ ...p, severity: "error" })), ...(placed?.old ? [] : placed?.findings || []).filter((f) => f.severity !== "note")];
  if (placed?.trouble) found.push({ severity: "error", message: placed.trouble });
  return found.length ? h("ul", { class: "findings", "aria-label": t("What the study says") }, found.map((f) => h("li", { class: f.severity }, f.message, f.fix ? h("span", { class: "fix" }, f.fix) : null, f.key ? h("span", { class: "where" }, f.key) : null))) : null;
}

const WAYS = [["forward", () => t("forward"), () => t("backward")], ["left", () => t("to the left"), () => t("to the right")], ["up", () => t("up"), () => t("down")]];

const parts = (shift) => WAYS.filter(([w]) => Math.abs(shift[w]) > 0.05).map(([w, ahead, back]) => `${length(Math.abs(shift[w]))} ${shift[w] > 0 ? ahead() : back()}`).join(", ") || t("nowhere: it sits well where it is");

function recommended(show) {
  if (study.problems.length) return null;
  if (!placed || (!placed.shift && placed.old)) return h("section", { class: "figures-box" }, h("p", { role: "status" }, t("Working out the place …")));
  if (!placed.shift) return null;
  const moved = inJob(["moved"]);
  const same = moved && study.shift && WAYS.every(([w], i) => Math.abs(study.shift[i] - placed.shift[w]) < 0.05);
  const bad = (placed.findings || []).some((f) => f.severity === "error");
  return h("section", { class: `figures-box${placed.old ? " old" : ""}`, "aria-label": t("Place recommended") }, placed.old ? h("p", { role: "status", class: "hint" }, t("Working out the place …")) : null, h("h2", { class: "big" }, t("Move the gear {parts}", { parts: parts(placed.shift) })),
    h("dl", {}, h("dt", {}, t("How sure")), h("dd", {}, WAYS.filter(([w]) => placed.unsure[w] > 0).map(([w, ahead]) => `± ${length(placed.unsure[w])} ${ahead()}`).join(", ") || "–"),
      h("dt", {}, t("The mount may be off by")), h("dd", {}, placed.tolerance_mm === null ? t("nothing that welded work can hold") : length(placed.tolerance_mm)),
      h("dt", {}, t("The job follows")), h("dd", {}, !moved ? t("not yet") : same ? t("this place") : t("another place: {parts}", { parts: study.shift ? parts(Object.fromEntries(WAYS.map(([w], i) => [w, study.shift[i]]))) : "–" }))),
    h("p", { class: "row" }, button(moved ? t("Take this place over again") : t("Take it over into the job"), takeOver, { class: same ? "" : "main", disabled: Boolean(placed.old) || bad || Boolean(job.problems?.length && !moved) }), button(t("Directions of the plate"), () => show("around"))),
    h("p", { class: "hint" }, t("The bolt holes of the mount move on the plate by the part of the shift that lies in it. Draw them where they are now.")));
}

function figures() {
  const rows = placed?.figures?.length ? placed.figures : study.figures;
  if (!rows?.length || study.problems.length) return null;
  return h("div", { class: `table-box${placed?.old ? " old" : ""}` }, h("table", {}, h("caption", {}, t("Figures, each with its standard error")), h("thead", {}, h("tr", {}, [t("Figure"), t("Gear now"), t("Gear moved"), t("Wished")].map((x) => h("th", { scope: "col" }, x)))),
    h("tbody", {}, rows.map((r) => h("tr", { class: r.held === false ? "missed" : r.held ? "held" : "" }, h("th", { scope: "row", title: r.meaning }, r.label), h("td", {}, r.now), h("td", {}, r.moved || "…"), h("td", {}, r.limit, r.held === undefined || r.held === null ? "" : r.held ? " ✓" : " ✗"))))));
}

function pictures() {
  if (!placed?.shift || study.problems.length) return null;
  const shown = (name, alt) => h("a", { href: `/api/study/picture/${name}`, target: "_blank", rel: "noopener" }, h("img", { class: `sheet${placed.old ? " old" : ""}`, src: `/api/study/picture/${name}?v=${placed.version.slice(0, 12)}`, alt }));
  return h("div", {}, h("h2", {}, t("Map of places")), h("p", { class: "hint" }, t("Green: every wish holds there. The square is the gear now, the ring the place recommended. Touch a picture to see it larger.")), shown("map", t("Each figure over the place of the gear, with the limits in red")),
    h("h2", {}, t("The linkage from above")), h("div", { class: "pictures" }, shown("linkage-now", t("Linkage from above, gear where it is")), shown("linkage-moved", t("Linkage from above, gear moved"))));
}

function fields() {
  if (!study.data?.units) return [];
  return [
    group(t("The vehicle"), textField(["title"], t("Name"), { of }), lengthField(["reading_error"], t("One coordinate is good to"), { of, placeholder: "1" }), lengthField(["vehicle", "wheelbase"], t("Wheelbase"), { of, optional: false }), numberField(["vehicle", "camber_deg"], t("Camber"), "°", { of, placeholder: "0" })),
    ...points(),
    group(t("The gear"), Array.isArray(of.at(["gear", "travel"])) ? h("div", { class: "two" }, lengthField(["gear", "travel", 0], t("Travel to the right"), { of, optional: false }), lengthField(["gear", "travel", 1], t("Travel to the left"), { of, optional: false })) : lengthField(["gear", "travel"], t("Travel each way from the middle"), { of, optional: false }),
      lengthField(["gear", "per_turn"], t("Travel for one turn of the steering wheel"), { of })),
    group(t("Wheel travel, for the toe change"), h("div", { class: "two" }, lengthField(["wheel_travel", "down"], t("Down"), { of, placeholder: "50 mm" }), lengthField(["wheel_travel", "up"], t("Up"), { of, placeholder: "50 mm" }))),
    wishes(),
    group(t("Places that are mapped"), ...[["forward", t("Forward from and to")], ["up", t("Up from and to")]].map(([way, label]) => h("div", { class: "two" }, lengthField(["map", way, 0], label, { of }), lengthField(["map", way, 1], t("to"), { of })))),
  ];
}
