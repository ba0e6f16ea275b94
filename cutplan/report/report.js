"use strict";
(function () {
  const data = JSON.parse(document.getElementById("data").textContent);
  const words = data.words;
  const length = (mm) => (data.unit === "in" ? (mm / 25.4).toFixed(3) + " in" : mm.toFixed(2) + " mm");
  const fill = (text, values) => text.replace(/\{(\w+)\}/g, (all, key) => (key in values ? values[key] : all));

  // on a phone steps and long tables are folded, and open one by one; on paper all of them are open
  const steps = document.querySelectorAll(".steps details");
  const folds = [...steps, ...document.querySelectorAll(".fold")];
  if (window.matchMedia("(max-width: 560px)").matches) {
    folds.forEach((fold) => { fold.open = fold === steps[0]; });
  }
  window.addEventListener("beforeprint", () => folds.forEach((fold) => { fold.open = true; }));

  // zoom: buttons, drag when zoomed, plus and minus on the focused figure
  document.querySelectorAll("figure.zoom").forEach((figure) => {
    const svg = figure.querySelector("svg");
    const home = svg.getAttribute("viewBox").split(" ").map(Number);
    let box = home.slice();
    let from = null;
    const show = () => {
      svg.setAttribute("viewBox", box.join(" "));
      figure.classList.toggle("zoomed", box[2] < home[2] * 0.999);
    };
    const hold = () => {
      box[0] = Math.min(Math.max(box[0], home[0]), home[0] + home[2] - box[2]);
      box[1] = Math.min(Math.max(box[1], home[1]), home[1] + home[3] - box[3]);
    };
    const zoom = (factor) => {
      const wide = Math.min(home[2], Math.max(home[2] / 16, box[2] * factor));
      const tall = (wide * home[3]) / home[2];
      box = [box[0] + (box[2] - wide) / 2, box[1] + (box[3] - tall) / 2, wide, tall];
      hold();
      show();
    };
    figure.querySelectorAll("[data-zoom]").forEach((button) => button.addEventListener("click", () => {
      if (button.dataset.zoom === "0") { box = home.slice(); show(); } else { zoom(Number(button.dataset.zoom)); }
    }));
    svg.addEventListener("pointerdown", (e) => {
      if (!figure.classList.contains("zoomed")) { return; }
      from = [e.clientX, e.clientY, box[0], box[1]];
      svg.setPointerCapture(e.pointerId);
    });
    svg.addEventListener("pointermove", (e) => {
      if (!from) { return; }
      const scale = box[2] / svg.getBoundingClientRect().width;
      box[0] = from[2] - (e.clientX - from[0]) * scale;
      box[1] = from[3] - (e.clientY - from[1]) * scale;
      hold();
      show();
    });
    ["pointerup", "pointercancel"].forEach((name) => svg.addEventListener(name, () => { from = null; }));
  });

  // a slider with play, back and forward; show(step) draws
  function player(ident, last, show) {
    const root = document.getElementById(ident);
    if (!root) { return; }
    const slider = root.querySelector("input[type=range]");
    const play = root.querySelector("[data-do=play]");
    let timer = 0;
    const draw = () => show(Number(slider.value));
    const go = (value) => { slider.value = String(Math.min(last, Math.max(0, value))); draw(); };
    const stop = () => { clearInterval(timer); timer = 0; play.textContent = words.play; play.setAttribute("aria-pressed", "false"); };
    slider.addEventListener("input", () => { stop(); draw(); });
    root.querySelector("[data-do=back]").addEventListener("click", () => { stop(); go(Number(slider.value) - 1); });
    root.querySelector("[data-do=next]").addEventListener("click", () => { stop(); go(Number(slider.value) + 1); });
    play.addEventListener("click", () => {
      if (timer) { stop(); return; }
      if (Number(slider.value) >= last) { go(0); }
      play.textContent = words.pause;
      play.setAttribute("aria-pressed", "true");
      timer = setInterval(() => {
        go(Number(slider.value) + 1);
        if (Number(slider.value) >= last) { stop(); }
      }, 700);
    });
    window.addEventListener("beforeprint", () => { stop(); go(last); });
    draw();
  }

  function marks(svg, names) {
    return names.map((name) => (name ? Array.from(svg.querySelectorAll("." + name)) : []));
  }

  function paint(groups, step) {
    groups.forEach((group, i) => group.forEach((el) => {
      el.classList.toggle("off", i > step);
      el.classList.toggle("playing", i === step && i > 0);
    }));
  }

  // the cut, one path after the other
  const cutSvg = document.querySelector("#cut-figure svg");
  if (cutSvg && data.cut.length) {
    const groups = [[]].concat(data.cut.map((c, i) => ["path", "lead", "pierce", "rapid", "way", "order"]
      .flatMap((kind) => Array.from(cutSvg.querySelectorAll("." + kind + "-" + (i + 1))))));
    const said = document.getElementById("cut-said");
    player("cut-player", data.cut.length, (step) => {
      paint(groups, step);
      said.textContent = step === 0 ? words.cut_start : fill(words.cut_step, { n: step, total: data.cut.length, what: data.cut[step - 1] });
    });
  }

  // the weld, bead after bead, with the displaced shape
  const weldSvg = document.querySelector("#weld-figure svg");
  const canvas = document.getElementById("shape");
  const shape = data.shape && canvas ? unpack(data.shape) : null;
  if (weldSvg && data.weld.length) {
    const groups = data.weld.map((s) => (s.mark ? [s.mark, s.mark.replace("stitch", "travel")]
      .flatMap((name) => Array.from(weldSvg.querySelectorAll("." + name))) : []));
    const said = document.getElementById("weld-said");
    const turn = document.getElementById("turn");
    let at = 0;
    player("weld-player", data.weld.length - 1, (step) => {
      at = step;
      const s = data.weld[step];
      paint(groups, step);
      const flat = s.flat === null ? "" : " " + fill(words.flat, { flat: length(s.flat) });
      const wait = s.wait ? " " + fill(words.wait, { wait: s.wait }) : "";
      const text = step === 0 ? words.weld_start : s.name === "release" ? words.release
        : fill(words[s.kind], { number: s.number, name: s.name, n: step, total: data.weld.length - 1 });
      said.textContent = text + wait + flat;
      if (shape) { drawShape(canvas, shape, step, Number(turn.value)); }
    });
    if (shape) {
      turn.addEventListener("input", () => drawShape(canvas, shape, at, Number(turn.value)));
    }
  }

  // the steering, played over the travel of the gear: one step of each picture at a time
  const steering = Array.from(document.querySelectorAll("#steering-now-figure svg, #steering-moved-figure svg"));
  if (steering.length && data.steering.length) {
    const last = data.steering.length - 1;
    const steps = data.steering.map((_, k) => steering.flatMap((svg) => Array.from(svg.querySelectorAll(".turn-" + k))));
    const said = document.getElementById("steering-said");
    const slider = document.getElementById("steering-slider");
    slider.value = String(last / 2);
    player("steering-player", last, (step) => {
      steps.forEach((group, k) => group.forEach((el) => el.classList.toggle("away", k !== step)));
      said.textContent = data.steering[step];
    });
  }

  function unpack(packed) {
    const numbers = (text) => {
      const raw = atob(text);
      const bytes = Uint8Array.from(raw, (c) => c.charCodeAt(0));
      return new Int16Array(bytes.buffer);
    };
    return Object.assign({}, packed, {
      points: numbers(packed.points), triangles: Int32Array.from(numbers(packed.triangles), (v) => v + 32768), lift: numbers(packed.lift),
    });
  }

  // seen from above and in front; heights drawn larger by the stated factor
  function drawShape(target, s, step, degrees) {
    const wide = target.width, tall = target.height, ink = target.getContext("2d");
    const c = Math.cos((degrees * Math.PI) / 180), d = Math.sin((degrees * Math.PI) / 180), tilt = 0.55, rise = 0.835;
    const [hx, hy] = [s.box_mm[0] / 2, s.box_mm[1] / 2];
    const lift = s.most_mm * s.times * rise;
    const scale = Math.min((0.5 * wide - 12) / (Math.abs(c) * hx + Math.abs(d) * hy),
      (0.46 * tall - 12) / ((Math.abs(d) * hx + Math.abs(c) * hy) * tilt + lift));
    const row = Math.min(step, s.lift.length / s.count - 1) * s.count;
    const mm = s.half_mm / s.full;
    const see = (x, y, z) => [0.5 * wide + (x * c - y * d) * scale, 0.52 * tall - ((x * d + y * c) * tilt + z * s.times * rise) * scale];
    const at = new Array(s.count);
    for (let i = 0; i < s.count; i += 1) {
      at[i] = see(s.points[2 * i] * mm, s.points[2 * i + 1] * mm, s.lift[row + i] * s.grain_mm);
    }
    const n = s.triangles.length / 3;
    const order = Array.from({ length: n }, (_, k) => k);
    const depth = order.map((k) => {
      const i = s.triangles[3 * k];
      return s.points[2 * i] * d + s.points[2 * i + 1] * c;
    });
    order.sort((p, q) => depth[q] - depth[p]);
    ink.fillStyle = "#ffffff";
    ink.fillRect(0, 0, wide, tall);
    ink.lineWidth = 0.6;
    order.forEach((k) => {
      const [a, b, e] = [s.triangles[3 * k], s.triangles[3 * k + 1], s.triangles[3 * k + 2]];
      const z = ((s.lift[row + a] + s.lift[row + b] + s.lift[row + e]) / 3) * s.grain_mm;
      ink.fillStyle = shade(z / s.most_mm);
      ink.strokeStyle = a < s.plate ? "#5a5a5a" : "#a8a8a8";
      ink.beginPath();
      ink.moveTo(at[a][0], at[a][1]);
      ink.lineTo(at[b][0], at[b][1]);
      ink.lineTo(at[e][0], at[e][1]);
      ink.closePath();
      ink.fill();
      ink.stroke();
    });
    ink.fillStyle = "#111111";
    ink.font = "bold 22px sans-serif";
    ink.textAlign = "center";
    s.pads.forEach((p) => {
      const i = nearest(s, p[0] / mm, p[1] / mm);
      const [x, y] = at[i];
      ink.beginPath();
      ink.arc(x, y, 5, 0, 2 * Math.PI);
      ink.fill();
      ink.fillText(p[3], x, y - 10);
    });
  }

  function nearest(s, x, y) {
    let best = 0, least = Infinity;
    for (let i = 0; i < s.plate; i += 1) {
      const far = (s.points[2 * i] - x) ** 2 + (s.points[2 * i + 1] - y) ** 2;
      if (far < least) { least = far; best = i; }
    }
    return best;
  }

  // down is blue, flat is white, up is orange: told apart without red and green, and by lightness in print
  function shade(t) {
    const u = Math.max(-1, Math.min(1, t));
    const [r, g, b] = u < 0 ? [30, 90, 160] : [214, 110, 10];
    const k = Math.abs(u);
    const mix = (v) => Math.round(250 + (v - 250) * k);
    return "rgb(" + mix(r) + "," + mix(g) + "," + mix(b) + ")";
  }
})();
