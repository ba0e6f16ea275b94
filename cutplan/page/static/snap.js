// Where a dragged point catches: centres, corners, middles and edges, then lines through centres, then the grid.

import { middleOf, nearest } from "/files/geometry.js";
import { job } from "/files/store.js";
import { shown } from "/files/units.js";

export function catches(except) {
  const shape = job.shape;
  const points = [];
  shape.holes.forEach((h, i) => { if (except !== `hole-${i}`) points.push(h.at); });
  shape.pads.forEach((p, i) => { if (except !== `pad-${i}`) points.push(p.at); });
  if (shape.outline.length < 400) {
    for (const g of shape.outline) {
      points.push([g[0], g[1]], middleOf(g));
      if (g.length > 4) points.push([g[4], g[5]]);
    }
  }
  const [x0, y0, x1, y1] = shape.box;
  points.push([(x0 + x1) / 2, (y0 + y1) / 2]);
  const lines = new Map();
  for (const [x, y] of points.slice(-600)) { lines.set(`x${x}`, ["x", x]); lines.set(`y${y}`, ["y", y]); }
  return { points, lines: [...lines.values()], outline: shape.outline };
}

export function gridStep(scale) {
  const steps = shown() === "in" ? [25.4 / 16, 25.4 / 8, 25.4 / 4, 25.4 / 2, 25.4] : [1, 2, 5, 10, 20, 50];
  return steps.find((s) => s * scale >= 4) || steps[steps.length - 1];
}

// Returns where the point lands, and what it caught: {at, caught, guides}.
export function snapped(p, known, reach, scale, along) {
  if (!along) {
    let best = null;
    for (const q of known.points) {
      const d = Math.hypot(q[0] - p[0], q[1] - p[1]);
      if (d < reach && (!best || d < best.d)) best = { d, q };
    }
    if (best) return { at: best.q.slice(), caught: "point", guides: [] };
    const edge = known.outline.length < 2000 ? nearest(known.outline, p) : null;
    if (edge && edge.gap < reach * 0.6) return { at: edge.at, caught: "edge", guides: [] };
  }
  const at = p.slice();
  const guides = [];
  const free = { x: true, y: true };
  for (const axis of ["x", "y"]) {
    if (along && along !== axis) continue;
    const i = axis === "x" ? 0 : 1;
    let best = null;
    for (const [name, value] of known.lines) {
      const d = Math.abs(value - p[i]);
      if (name === axis && d < reach * 0.6 && (!best || d < best.d)) best = { d, value };
    }
    if (best) { at[i] = best.value; guides.push([axis, best.value]); free[axis] = false; }
  }
  const grid = gridStep(scale);
  if (free.x && along !== "y") at[0] = Math.round(p[0] / grid) * grid;
  if (free.y && along !== "x") at[1] = Math.round(p[1] / grid) * grid;
  return { at, caught: guides.length ? "line" : "grid", guides };
}
