// The job as the server last told it; every change goes to the job file at once, one after the other.

import { get, post, Trouble } from "/files/api.js";
import { tell } from "/files/dom.js";
import { t } from "/files/words.js";

export let job = { job: "" };
export let choices = {};
export let figures = {};
export let tape = null;
export let drawn = null;
const listeners = new Set();
let queue = Promise.resolve();
let gone = false;

export const listen = (fn) => { listeners.add(fn); return () => listeners.delete(fn); };

function take(state) {
  const same = job.folder === state.folder && job.job === state.job && job.data?.plate?.drawing === state.data?.plate?.drawing;
  const last = same && job.shape ? job.shape : null;
  job = state;
  if (!job.shape && last) { job.shape = last; job.stale = true; }
  listeners.forEach((fn) => fn(job));
  later();
}

export async function begin() {
  choices = await get("/api/choices");
  take(await get("/api/state"));
  setInterval(watch, 1000);
}

export const set = take;

async function watch() {
  if (document.hidden || !job.job) return;
  try {
    const news = await get("/api/look", { version: job.version });
    if (gone) { gone = false; tell(t("The page is connected again.")); }
    if (!news.same && news.version !== job.version) take(news);
  } catch (fault) {
    if (fault.status === 0 && !gone) {
      gone = true;
      tell(t("The program has ended. What was accepted is in the job file. Start it again to go on."), true);
    } else if (fault.status !== 0) {
      tell(fault.text, true);
    }
  }
}

let waiting = 0;
export function later() {
  clearTimeout(waiting);
  if (job.data?.survey) {
    get("/api/tape").then((found) => { if (found.version === job.version) { tape = found; listeners.forEach((fn) => fn(job)); } }).catch(() => {});
  } else { tape = null; }
  if (job.data?.plate?.drawing) {
    get("/api/drawn").then((found) => { if (found.version === job.version) { drawn = found; listeners.forEach((fn) => fn(job)); } }).catch(() => {});
  } else { drawn = null; }
  if (!job.job || job.problems?.length) { figures = {}; return; }
  waiting = setTimeout(async () => {
    try {
      const found = await get("/api/figures");
      if (found.version === job.version) { figures = found; listeners.forEach((fn) => fn(job)); }
    } catch { /* told by the watch */ }
  }, 60);
}

// What stands at a key of the job file.
export const at = (path, from = job.data) => path.reduce((here, step) => (here === null || here === undefined ? undefined : here[step]), from);

export const setTo = (path, value) => {
  const was = at(path);
  return { do: "set", at: path, value, was: was === undefined ? null : was };
};
export const dropped = (path) => ({ do: "drop", at: path, was: at(path) ?? null });
export const added = (path, value) => ({ do: "add", at: path, value });

function run(work) {
  queue = queue.then(async () => {
    try {
      take(await work());
      return true;
    } catch (fault) {
      if (!(fault instanceof Trouble)) throw fault;
      tell(fault.status === 0 ? t("Not saved: the program does not answer.") : t("Not changed: {why}", { why: fault.text }), true);
      if (fault.status === 409) { try { take(await get("/api/state")); } catch { /* told by the watch */ } }
      listeners.forEach((fn) => fn(job, true));
      return false;
    }
  });
  return queue;
}

// Changes may be a function: it is asked when their turn comes, so that they are about the job as it is then.
export const change = (changes, label) => run(() => {
  const wanted = typeof changes === "function" ? changes() : changes;
  return wanted?.length ? post("/api/change", { changes: wanted, label }) : get("/api/state");
});
export const undo = () => run(() => post("/api/undo"));
export const redo = () => run(() => post("/api/redo"));

// Findings and problems about a key, such as pad[0] or pad[0].at.
export const named = (path) => path.map((p) => (typeof p === "number" ? `[${p}]` : `.${p}`)).join("").replace(/^\./, "");

export function about(path) {
  const key = named(path);
  const all = [...(job.problems || []).map((p) => ({ ...p, severity: "error" })), ...(job.findings || [])];
  return all.filter((f) => f.key === key || f.key.startsWith(`${key}[`));
}
