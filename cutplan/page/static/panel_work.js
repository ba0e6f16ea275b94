// How it is done: joint, cutting, opening, welding, paper, language and units.

import { h } from "/files/dom.js";
import { choiceField, group, lengthField, numberField, switchField, textField } from "/files/fields.js";
import { at, change, choices, dropped, job, setTo } from "/files/store.js";
import { t, word } from "/files/words.js";

export const title = () => t("The work");

export function build() {
  const butt = (at(["joint", "kind"]) || "butt") === "butt";
  return [
    group(t("Joint"), jointKind(butt), butt ? lengthField(["joint", "gap"], t("Gap all round"), { placeholder: "1" }) : lengthField(["joint", "overlap"], t("Overlap all round"), { placeholder: "25" }), unwelded()),
    group(t("Cutting the plate"), choiceField(["cutting", "process"], t("With"), choices.cut_process, "air plasma"), lengthField(["cutting", "kerf"], t("Kerf, if measured"), { placeholder: t("from the table") }),
      numberField(["cutting", "current_A"], t("Current"), "A", { placeholder: t("from the table") }), switchField(["cutting", "cut_bolt_holes"], t("Cut bolt holes instead of drilling them"))),
    group(t("Cutting the opening"), choiceField(["opening", "tool"], t("With"), choices.hand_tool, "cut-off disc"), lengthField(["opening", "disc_diameter"], t("Disc diameter"), { placeholder: "125 mm" }), lengthField(["opening", "longest_section"], t("Longest piece that falls"), { placeholder: "200 mm" })),
    group(t("Welding"), choiceField(["welding", "process"], t("Process"), choices.weld_process, "GMAW"), numberField(["welding", "current_A"], t("Current"), "A", { placeholder: t("from the table") }),
      numberField(["welding", "voltage_V"], t("Voltage"), "V", { placeholder: t("from the table") }), numberField(["welding", "speed_mm_per_s"], t("Speed"), "mm/s", { placeholder: t("from the table") }), lengthField(["welding", "wire"], t("Wire"), { placeholder: t("from the table") })),
    group(t("Paper for the templates"), choiceField(["paper", "size"], t("Size"), choices.paper, "A4"), textField(["paper", "printer"], t("Printer, as calibrated"), { placeholder: "default" })),
    group(t("How it is said"), choiceField(["units"], t("Units of plain numbers"), choices.units, "mm"), h("p", { class: "hint" }, t("Changing the unit does not convert numbers that are there.")), choiceField(["display"], t("Lengths are shown in"), choices.units, job.data.units || "mm"),
      choiceField(["language"], t("Language of the documents"), choices.language, "en"), textField(["note"], t("Note on every sheet"))),
  ];
}

function jointKind(butt) {
  const pick = (kind) => {
    if ((at(["joint", "kind"]) || "butt") === kind) return;
    const [gone, fresh, size] = kind === "lap" ? ["gap", "overlap", 25] : ["overlap", "gap", 1];
    change([...(at(["joint", gone]) === undefined ? [] : [dropped(["joint", gone])]), setTo(["joint", "kind"], kind), setTo(["joint", fresh], { mm: size })], t("Joint"));
  };
  return h("div", { class: "field" }, h("span", { class: "label" }, t("Plate and skin meet as")), h("span", { class: "options", role: "group", "aria-label": t("Joint") },
    ["butt", "lap"].map((kind) => h("button", { type: "button", "aria-pressed": String((kind === "butt") === butt), onclick: () => pick(kind) }, word(kind)))));
}

// Whole sides without weld; stretches between two points stay as the file has them.
function unwelded() {
  const now = at(["joint", "unwelded"]) || [];
  const flip = (side) => change([setTo(["joint", "unwelded"], now.includes(side) ? now.filter((x) => x !== side) : [...now, side])], t("Edges without weld"));
  const name = { left: t("left"), right: t("right"), bottom: t("below"), top: t("above") };
  return h("div", { class: "field" }, h("span", { class: "label" }, t("Edges without weld")), h("span", { class: "options", role: "group", "aria-label": t("Edges without weld") },
    ["left", "right", "bottom", "top"].map((side) => h("button", { type: "button", "aria-pressed": String(now.includes(side)), onclick: () => flip(side) }, name[side]))));
}
