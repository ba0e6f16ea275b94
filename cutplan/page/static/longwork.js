// Long work beside the page: begun, watched and cancelled; the last answer stays until a new one is there.

import { get, post } from "/files/api.js";
import { button, h, tell } from "/files/dom.js";
import { job } from "/files/store.js";
import { t, word } from "/files/words.js";

export let work = { running: false, answer: null, about: "" };
export let papers = { documents: [], fresh: false };
let listener = () => {};
let timer = 0;
let asked = "";

export const old = () => Boolean(work.answer) && work.about !== job.version;

export function watchWork(fn) { listener = fn; }

async function poll() {
  clearTimeout(timer);
  try { work = await get("/api/work"); } catch { return; }
  if (work.running) timer = setTimeout(poll, 350);
  else await look();
  listener();
}

async function look() {
  try { papers = await get("/api/papers"); } catch { /* told by the watch */ }
}

// What there is when a panel is opened, asked for once for each state of the job.
export function refresh() {
  const key = `${job.folder}${job.version}`;
  if (asked === key) return;
  asked = key;
  poll();
}

export async function start(task) {
  try {
    work = { ...(await post("/api/work/start", { task })), running: true };
    listener();
    timer = setTimeout(poll, 250);
  } catch (fault) { tell(fault.text, true); }
}

export async function cancel() {
  try { work = await post("/api/work/cancel"); } catch (fault) { tell(fault.text, true); }
  poll();
}

// Progress with a way out, or how it ended.
export function progress() {
  if (work.running) {
    const share = work.total ? Math.min(1, work.done / work.total) : 0;
    return h("div", { class: "working", role: "status" }, h("p", {}, h("strong", {}, work.task === "documents" ? t("Making the set") : t("Working it out")), work.step ? `: ${word(work.step)}` : ""),
      h("progress", { max: "1", value: String(share), "aria-label": t("Progress") }), button(t("Cancel"), cancel));
  }
  if (work.cancelled) return h("p", { class: "hint" }, t("Cancelled. What was there before is unchanged."));
  if (work.error) return h("p", { class: "note error", role: "alert" }, [work.error.message || t("The work ended without an answer."), work.error.where, work.error.try].filter(Boolean).join(" – "));
  return null;
}
