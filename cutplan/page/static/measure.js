// A tape between any two things: two points picked, the distance along and across told.

import { s } from "/files/dom.js";
import { toScreen } from "/files/drawing.js";
import { far, nearest } from "/files/geometry.js";
import { job } from "/files/store.js";
import { length } from "/files/units.js";

let ends = [];

export const clear = () => { ends = []; };

// A pick catches the nearest centre or corner, else the edge, else the place itself.
export function pick(p, reach, things) {
  if (ends.length === 2) ends = [];
  let best = null;
  const offer = (q) => { const d = far(p, q); if (d < reach * 1.2 && (!best || d < best.d)) best = { d, q }; };
  things.forEach((x) => x.places.forEach((place) => offer(place.at)));
  if (job.shape.outline.length < 400) job.shape.outline.forEach((g) => offer([g[0], g[1]]));
  (job.shape.survey || []).forEach((q) => offer(q.at));
  const edge = nearest(job.shape.outline, p);
  ends.push(best ? best.q : edge && edge.gap < reach ? edge.at : p);
}

export const told = () => (ends.length < 2 ? "" : length(far(ends[0], ends[1])));

export function marks() {
  const out = ends.map((p) => { const [x, y] = toScreen(p); return s("path", { class: "tape-end", d: `M${x - 9} ${y}h18M${x} ${y - 9}v18` }); });
  if (ends.length === 2) {
    const [a, b] = ends.map(toScreen);
    const [dx, dy] = [Math.abs(ends[1][0] - ends[0][0]), Math.abs(ends[1][1] - ends[0][1])];
    out.push(s("path", { class: "tape", d: `M${a.join(" ")}L${b.join(" ")}` }));
    const [x, y] = [(a[0] + b[0]) / 2 + 8, (a[1] + b[1]) / 2 - 8];
    out.push(s("text", { class: "tape-text", x, y }, length(far(ends[0], ends[1]))));
    if (dx > 0.05 && dy > 0.05) out.push(s("text", { class: "tape-text small", x, y: y + 18 }, `↔ ${length(dx)}  ↕ ${length(dy)}`));
  }
  return out;
}
