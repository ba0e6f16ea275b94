// A change that another program made to the job file: shown line by line, kept or taken back.

import { button, h } from "/files/dom.js";
import { job, undo } from "/files/store.js";
import { t } from "/files/words.js";

const seen = new Set();

export function outsideBox() {
  if (!job.outside?.length || seen.has(job.version)) return [];
  const kind = (line) => (line.startsWith("+") ? "plus" : line.startsWith("-") ? "minus" : "same");
  return [
    h("h2", {}, t("Another program changed the job file")),
    h("p", {}, t("This is what it changed. Your own changes are kept before it: undo goes back to them.")),
    h("pre", { class: "diff", tabindex: "0" }, job.outside.map((line) => h("span", { class: kind(line) }, line.startsWith("@@") ? "…\n" : `${line}\n`))),
    h("p", { class: "row" }, button(t("Keep it"), (e) => { seen.add(job.version); e.target.closest(".outside").replaceChildren(); }), button(t("Take it back"), undo)),
  ];
}
