// The study of the steering as the server last told it: its changes go to its own file, and the place follows.

import { get, post, Trouble } from "/files/api.js";
import { tell } from "/files/dom.js";
import { job, set } from "/files/store.js";
import { t } from "/files/words.js";

export let study = { file: "" };
export let placed = null;
let told = () => {};
let asked = "";
let queue = Promise.resolve();

export const at = (path) => path.reduce((here, step) => (here === null || here === undefined ? undefined : here[step]), study.data);
const named = (path) => path.map((p) => (typeof p === "number" ? `[${p}]` : `.${p}`)).join("").replace(/^\./, "");

function about(path) {
  const key = named(path);
  return (study.problems || []).filter((f) => f.key === key || f.key.startsWith(`${key}[`) || f.key.startsWith(`${key}.`)).map((f) => ({ ...f, severity: "error" }));
}

// What is asked for when the panel is opened or the job has changed; the place comes when it is worked out.
export function refresh(listener) {
  told = listener;
  const key = job.folder + job.version;
  if (asked === key) return;
  asked = key;
  get("/api/study").then(take).catch((fault) => tell(fault.text, true));
}

let waiting = 0;
function take(state) {
  const other = state.version !== study.version || state.file !== study.file;
  study = state;
  if (other) placed = placed && study.file ? { ...placed, old: true } : null;
  told();
  clearTimeout(waiting);
  if (study.file && !study.problems.length && (!placed || placed.old)) waiting = setTimeout(work, 250);
}

async function work() {
  const version = study.version;
  try {
    const answer = await get("/api/study/placed");
    if (answer.version === study.version) placed = answer;
  } catch (fault) { placed = { trouble: fault.text, figures: [], findings: [], version }; }
  told();
}

function run(ask) {
  queue = queue.then(async () => {
    try { take(await ask()); return true; } catch (fault) {
      if (!(fault instanceof Trouble)) throw fault;
      tell(fault.status === 0 ? t("Not saved: the program does not answer.") : t("Not changed: {why}", { why: fault.text }), true);
      if (fault.status === 409) take(await get("/api/study"));
      told();
      return false;
    }
  });
  return queue;
}

export const change = (changes, label) => run(() => {
  const wanted = typeof changes === "function" ? changes() : changes;
  return post("/api/study/change", { changes: wanted, label });
});
export const undo = () => run(() => post("/api/study/undo"));
export const redo = () => run(() => post("/api/study/redo"));
export const begin = () => run(() => post("/api/study/new"));

export async function takeOver() {
  try { set(await post("/api/study/take")); tell(t("The job follows the study.")); } catch (fault) { tell(fault.text, true); }
}

export const studyFile = { name: "study", at, about, change, units: () => study.data?.units || "mm" };
