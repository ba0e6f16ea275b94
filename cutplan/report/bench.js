"use strict";
(function () {
  const all = JSON.parse(document.getElementById("data").textContent);
  const bench = all.bench;
  if (!bench || !bench.steps.length) { return; }
  const words = bench.words;
  const fill = (text, values) => text.replace(/\{(\w+)\}/g, (whole, key) => (key in values ? values[key] : whole));
  const root = document.getElementById("bench");
  const steps = bench.steps;

  // what is kept on this device: ticks, readings, the step in hand and when a wait ends
  let keeps = true;
  let mine = { at: 0, ticks: {}, values: {}, until: {}, theme: "" };
  try {
    mine = Object.assign(mine, JSON.parse(localStorage.getItem(bench.key) || "{}"));
  } catch (fault) { keeps = false; }
  const keep = () => {
    try { localStorage.setItem(bench.key, JSON.stringify(mine)); keeps = true; } catch (fault) { keeps = false; }
  };
  mine.at = Math.min(Math.max(0, mine.at | 0), steps.length - 1);

  function el(name, attributes, ...inside) {
    const made = document.createElement(name);
    Object.entries(attributes || {}).forEach(([key, value]) => {
      if (value === null || value === false) { return; }
      if (key.startsWith("on")) { made.addEventListener(key.slice(2), value); } else if (key === "value") { made.value = value; } else { made.setAttribute(key, value === true ? "" : value); }
    });
    made.append(...inside.flat().filter((x) => x !== null && x !== ""));
    return made;
  }
  const press = (text, act, attributes) => el("button", Object.assign({ type: "button", onclick: act }, attributes), text);

  // the door: a large button on top of the report
  const door = press(words.bench, () => open(true), { class: "to-bench" });
  document.querySelector("header").prepend(door);

  function open(on) {
    document.body.classList.toggle("at-bench", on);
    root.hidden = !on;
    location.hash = on ? "bench" : "";
    if (on) { show(); root.querySelector("h1").focus(); } else { clearInterval(clock); door.focus(); }
  }

  let clock = 0;
  function show() {
    clearInterval(clock);
    const step = steps[mine.at];
    if (mine.theme) { root.dataset.theme = mine.theme; } else { delete root.dataset.theme; }
    const done = Object.keys(mine.ticks).length;
    const jump = el("select", { "aria-label": words.jump, onchange: () => go(Number(jump.value)) }, parts().map(([name, first]) => el("option", { value: String(first) }, name)));
    jump.value = String(parts().filter(([, first]) => first <= mine.at).pop()[1]);
    const tick = el("input", { type: "checkbox", id: "bench-tick", onchange: () => ticked(tick.checked) });
    tick.checked = Boolean(mine.ticks[mine.at]);
    root.replaceChildren(...[
      el("div", { class: "bench-top" }, press(words.back, () => open(false)), jump, press(dark() ? words.light : words.dark, () => { mine.theme = dark() ? "light" : "dark"; keep(); show(); })),
      el("p", { class: "bench-count" }, fill(words.step, { n: mine.at + 1, total: steps.length }) + " · " + step.part),
      el("progress", { max: String(steps.length), value: String(done), "aria-label": fill(words.ticked, { n: done, total: steps.length }) }),
      el("h1", { tabindex: "-1" }, step.title),
      wait(step), el("div", { class: "bench-text" }, step.text.map((t) => el("p", {}, t))), readings(step), picture(step),
      el("label", { class: "bench-tick", for: "bench-tick" }, tick, el("span", {}, words.done)),
      el("div", { class: "bench-move" }, press("◀ " + words.before, () => go(mine.at - 1), { disabled: mine.at === 0 }), press(words.next + " ▶", () => go(mine.at + 1), { disabled: mine.at === steps.length - 1 })),
      foot(),
    ].filter((x) => x !== null));
  }

  const dark = () => (mine.theme ? mine.theme === "dark" : matchMedia("(prefers-color-scheme: dark)").matches);
  const parts = () => steps.map((s, i) => [s.part, i]).filter(([name], i) => i === 0 || steps[i - 1].part !== name);

  function go(at) {
    mine.at = Math.min(Math.max(0, at), steps.length - 1);
    keep();
    show();
    root.querySelector("h1").focus();
    window.scrollTo(0, 0);
  }

  // a tick goes on to the next step, whose wait begins then
  function ticked(on) {
    if (on) { mine.ticks[mine.at] = 1; } else { delete mine.ticks[mine.at]; }
    const next = steps[mine.at + 1];
    if (on && next && next.wait_s && !mine.until[mine.at + 1]) { mine.until[mine.at + 1] = Date.now() + next.wait_s * 1000; }
    if (on && next) { go(mine.at + 1); } else { keep(); show(); }
  }

  function wait(step) {
    if (!step.wait_s) { return null; }
    const face = el("div", { class: "bench-clock", role: "timer" });
    const box = el("div", { class: "bench-wait" }, el("p", {}, words.wait), face);
    const draw = () => {
      const until = mine.until[mine.at];
      const left = until ? Math.ceil((until - Date.now()) / 1000) : step.wait_s;
      face.textContent = Math.floor(Math.max(0, left) / 60) + ":" + String(Math.max(0, left) % 60).padStart(2, "0");
      box.classList.toggle("over", Boolean(until) && left <= 0);
      if (until && left <= 0) {
        clearInterval(clock);
        box.firstChild.textContent = words.over;
        if (left > -3 && navigator.vibrate) { navigator.vibrate([300, 150, 300]); }
        box.querySelectorAll("button").forEach((b) => b.remove());
      }
    };
    if (!mine.until[mine.at]) {
      box.append(press(words.begin_wait, () => { mine.until[mine.at] = Date.now() + step.wait_s * 1000; keep(); show(); }));
    } else {
      box.append(press(words.skip, () => { mine.until[mine.at] = 1; keep(); show(); }));
      clock = setInterval(draw, 250);
    }
    draw();
    return box;
  }

  // lengths as people type them; millimetres, or null when it is none
  function millimetres(text) {
    const found = /^\s*([-+]?)\s*(?:(\d+)\s+(\d+)\/(\d+)|(\d+)\/(\d+)|(\d*[.,]?\d+|\d+[.,]))\s*(mm|in|")?\s*$/i.exec(text);
    if (!found) { return null; }
    const [, sign, whole, top, low, top2, low2, plain, unit] = found;
    const size = plain !== undefined ? Number(plain.replace(",", ".")) : whole !== undefined ? Number(whole) + top / low : top2 / low2;
    const per = unit ? (unit.toLowerCase() === "mm" ? 1 : 25.4) : bench.unit === "in" ? 25.4 : 1;
    return Number.isFinite(size) ? (sign === "-" ? -size : size) * per : null;
  }
  const length = (mm) => (bench.unit === "in" ? (mm / 25.4).toFixed(3) + " in" : mm.toFixed(2) + " mm");

  function readings(step) {
    if (!step.ask.length) { return null; }
    return el("div", { class: "bench-readings" }, step.ask.map((i) => {
      const r = bench.readings[i];
      const verdict = el("span", { class: "bench-verdict", role: "status" });
      const field = el("input", { id: "reading-" + i, type: "text", inputmode: "decimal", autocomplete: "off", value: mine.values[i] || "",
        oninput: () => { if (field.value.trim()) { mine.values[i] = field.value.trim(); } else { delete mine.values[i]; } keep(); judge(i, verdict); count(); } });
      judge(i, verdict);
      const limits = "low_mm" in r ? ", " + fill(words.limits, { low: length(r.plan_mm + r.low_mm), high: length(r.plan_mm + r.high_mm) }) : "";
      const more = r.kind === "dial" ? r.note : fill(words.plan, { plan: length(r.plan_mm) }) + limits;
      return el("div", { class: "bench-reading" }, el("label", { for: field.id }, r.label), el("span", {}, field, " " + bench.unit), el("small", {}, more), verdict);
    }));
  }

  function judge(i, verdict) {
    const r = bench.readings[i];
    const text = mine.values[i];
    const say = (kind, words_) => { verdict.className = "bench-verdict " + kind; verdict.textContent = words_; };
    if (!text) { say("", ""); return; }
    const mm = millimetres(text);
    if (mm === null) { say("bad", words.no_number); return; }
    if (r.after || (r.kind !== "dial" && !("low_mm" in r))) { say("", ""); return; }
    if (r.kind === "dial") { dial(r, say); return; }
    const off = mm - r.plan_mm;
    if (off >= r.low_mm - 1e-3 && off <= r.high_mm + 1e-3) { say("good", words.within); } else { say("bad", fill(words.out, { off: (off > 0 ? "+" : "") + length(off) })); }
  }

  // heights about the plane that fits them best, as soon as four places of a pad are read
  function dial(r, say) {
    const own = bench.readings.map((o, k) => [o, mine.values[k] ? millimetres(mine.values[k]) : null]).filter(([o, v]) => o.kind === "dial" && o.name === r.name && o.after === r.after && v !== null);
    if (own.length < 4) { say("", fill(words.more, { n: 4 - own.length })); return; }
    const [mx, my, mz] = [0, 1, 2].map((c) => own.reduce((sum, [o, v]) => sum + (c < 2 ? o.place[c] : v), 0) / own.length);
    let [xx, xy, yy, xz, yz] = [0, 0, 0, 0, 0];
    own.forEach(([o, v]) => { const [x, y, z] = [o.place[0] - mx, o.place[1] - my, v - mz]; xx += x * x; xy += x * y; yy += y * y; xz += x * z; yz += y * z; });
    const det = xx * yy - xy * xy || 1;
    const [a, b] = [(xz * yy - yz * xy) / det, (yz * xx - xz * xy) / det];
    const rest = own.map(([o, v]) => v - mz - a * (o.place[0] - mx) - b * (o.place[1] - my));
    const flat = Math.max(...rest) - Math.min(...rest);
    say(flat <= r.flat_mm + 1e-3 ? "good" : "bad", fill(words.flat, { flat: length(flat), allowed: length(r.flat_mm) }));
  }

  // the drawing of the report once more; what is done now is strong, what comes later faint
  function picture(step) {
    const title = step.picture && document.getElementById(step.picture + "-title");
    const original = title && title.closest("svg");
    if (!original) { return null; }
    const own = original.cloneNode(true);
    own.setAttribute("viewBox", original.dataset.home || original.getAttribute("viewBox"));
    own.removeAttribute("aria-labelledby");
    own.setAttribute("aria-label", title.textContent);
    own.querySelectorAll("title, desc").forEach((x) => x.remove());
    own.querySelectorAll(".off, .playing").forEach((x) => x.classList.remove("off", "playing"));
    const same = steps.filter((s) => s.picture === step.picture && s.marks.length);
    const now = same.indexOf(step);
    same.forEach((s, i) => s.marks.forEach((name) => own.querySelectorAll("." + name).forEach((x) => {
      x.classList.toggle("off", now >= 0 && i > now);
      x.classList.toggle("playing", i === now);
    })));
    return el("div", { class: "bench-picture" }, own);
  }

  function taken() { return Object.keys(mine.values).length; }
  function count() {
    const line = root.querySelector(".bench-taken");
    if (line) { line.textContent = fill(words.taken, { n: taken(), total: bench.readings.length }); }
  }

  function foot() {
    return el("div", { class: "bench-foot" }, el("p", { class: "bench-taken" }, fill(words.taken, { n: taken(), total: bench.readings.length })),
      press(words.save, save), press(words.again, () => { if (confirm(words.sure)) { mine = { at: 0, ticks: {}, values: {}, until: {}, theme: mine.theme }; keep(); show(); } }),
      el("p", {}, keeps ? words.kept : words.not_kept));
  }

  // the form that `cutplan inspect` reads
  function save() {
    const cell = (text) => (/[",\n]/.test(String(text)) ? '"' + String(text).replace(/"/g, '""') + '"' : String(text));
    const per = bench.unit === "in" ? 25.4 : 1;
    const rows = bench.readings.map((r, i) => [r.kind, r.name, r.to, r.after || "", (r.plan_mm / per).toFixed(bench.unit === "in" ? 4 : 2), mine.values[i] || "", bench.unit, r.note]);
    const text = [bench.columns, ...rows].map((row) => row.map(cell).join(",")).join("\n") + "\n";
    const link = el("a", { href: URL.createObjectURL(new Blob([text], { type: "text/csv" })), download: "measured.csv" });
    document.body.append(link);
    link.click();
    link.remove();
  }

  document.addEventListener("keydown", (e) => {
    if (root.hidden || e.target.closest("input[type=text], select") || e.ctrlKey || e.metaKey || e.altKey) { return; }
    if (e.key === "ArrowRight") { go(mine.at + 1); }
    if (e.key === "ArrowLeft") { go(mine.at - 1); }
    if (e.key === "Escape") { open(false); }
  });
  if (location.hash === "#bench") { open(true); }
})();
