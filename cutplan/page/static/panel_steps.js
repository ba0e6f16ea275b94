// The work step by step: cut, opening, fit-up and weld, each with its picture and what is done now drawn strong.

import { button, h } from "/files/dom.js";
import { old, progress, refresh, start, work } from "/files/longwork.js";
import { job } from "/files/store.js";
import { t } from "/files/words.js";

export const title = () => t("Step by step");

const kept = { at: 0 };
const drawn = new Map();

export function build(show, render) {
  refresh();
  const steps = work.answer?.steps || [];
  if (!steps.length) return [h("p", {}, t("The steps come from the plans of cut, opening and weld.")), progress(), work.running ? null : button(t("Work it out"), () => start("look"), { class: "main", disabled: Boolean(job.problems?.length) })];
  kept.at = Math.min(kept.at, steps.length - 1);
  const go = (n) => { kept.at = Math.max(0, Math.min(steps.length - 1, n)); render(); };
  const step = steps[kept.at];
  const parts = [...new Set(steps.map((x) => x.part))];
  const slider = h("input", { type: "range", min: "0", max: String(steps.length - 1), value: String(kept.at), "data-key": "step-slider", "aria-label": t("Step"), oninput: () => go(Number(slider.value)) });
  return [
    old() ? h("p", { class: "note warning" }, t("From before the last change.")) : null, progress(),
    h("p", { class: "options" }, parts.map((p) => button(p, () => go(steps.findIndex((x) => x.part === p)), { "aria-pressed": String(step.part === p) }))),
    h("div", { class: "player" }, button("◀", () => go(kept.at - 1), { "aria-label": t("Step before"), disabled: kept.at === 0 }), slider, button("▶", () => go(kept.at + 1), { "aria-label": t("Next step"), disabled: kept.at === steps.length - 1 })),
    h("section", { class: `step${old() ? " old" : ""}`, "aria-live": "polite" }, h("p", { class: "hint" }, t("Step {n} of {total}", { n: kept.at + 1, total: steps.length })), h("h2", { class: "big" }, step.title), step.text.map((x) => h("p", {}, x)),
      step.wait_s ? h("p", { class: "box" }, t("Before it starts, wait {n} s.", { n: Math.round(step.wait_s) })) : null, picture(step, steps)),
  ];
}

// One drawing serves many steps: strokes of later steps are faint, those of now are strong.
function picture(step, steps) {
  if (!step.picture) return null;
  const host = h("div", { class: "step-picture" });
  const paint = (svg) => {
    const own = svg.cloneNode(true);
    const same = steps.filter((x) => x.picture === step.picture && x.marks.length);
    const now = same.indexOf(step);
    same.forEach((x, i) => x.marks.forEach((name) => own.querySelectorAll(`.${CSS.escape(name)}`).forEach((el) => { el.classList.toggle("later", i > now && now >= 0); el.classList.toggle("now", i === now); })));
    host.replaceChildren(own);
  };
  const key = `${step.picture} ${work.about}`;
  if (drawn.has(key)) { paint(drawn.get(key)); return host; }
  fetch(`/api/picture/${step.picture}?v=${work.about.slice(0, 12)}`).then((r) => (r.ok ? r.text() : "")).then((text) => {
    const svg = text && new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
    if (!svg || svg.nodeName !== "svg") return;
    drawn.set(key, document.importNode(svg, true));
    paint(drawn.get(key));
  });
  return host;
}
