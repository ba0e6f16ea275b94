// Lines and arcs as the server sends them: [x0, y0, x1, y1] and, for an arc, [.., cx, cy, r, sweep].

const n = (v) => String(Math.round(v * 1e4) / 1e4);

export function pathOf(segments, closed = true) {
  let d = "";
  let x = NaN;
  let y = NaN;
  for (const g of segments) {
    if (Math.abs(g[0] - x) > 1e-6 || Math.abs(g[1] - y) > 1e-6 || d === "") d += `M${n(g[0])} ${n(g[1])}`;
    if (g.length > 4) d += arc(g);
    else d += `L${n(g[2])} ${n(g[3])}`;
    [x, y] = [g[2], g[3]];
  }
  return d + (closed && d ? "Z" : "");
}

// An arc is drawn in two halves, so that none is ever more than half a turn. y points up: flag 1 is counter-clockwise.
function arc([x0, y0, x1, y1, cx, cy, r, sweep]) {
  const flag = sweep > 0 ? 1 : 0;
  const middle = Math.atan2(y0 - cy, x0 - cx) + sweep / 2;
  const half = `A${n(r)} ${n(r)} 0 0 ${flag} ${n(cx + r * Math.cos(middle))} ${n(cy + r * Math.sin(middle))}`;
  return `${half}A${n(r)} ${n(r)} 0 0 ${flag} ${n(x1)} ${n(y1)}`;
}

export const ring = ([x, y], d) => {
  const r = d / 2;
  return `M${n(x + r)} ${n(y)}A${n(r)} ${n(r)} 0 0 1 ${n(x - r)} ${n(y)}A${n(r)} ${n(r)} 0 0 1 ${n(x + r)} ${n(y)}Z`;
};

export const far = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1]);

function onArc(g, angle) {
  const turn = 2 * Math.PI;
  const from = Math.atan2(g[1] - g[5], g[0] - g[4]);
  let along = g[7] > 0 ? angle - from : from - angle;
  along = ((along % turn) + turn) % turn;
  return along <= Math.abs(g[7]) + 1e-9;
}

export function nearestOn(g, p) {
  if (g.length > 4) {
    const angle = Math.atan2(p[1] - g[5], p[0] - g[4]);
    if (onArc(g, angle)) return [g[4] + g[6] * Math.cos(angle), g[5] + g[6] * Math.sin(angle)];
    return far(p, g.slice(0, 2)) < far(p, g.slice(2, 4)) ? g.slice(0, 2) : g.slice(2, 4);
  }
  const [dx, dy] = [g[2] - g[0], g[3] - g[1]];
  const size = dx * dx + dy * dy;
  const s = size ? Math.min(1, Math.max(0, ((p[0] - g[0]) * dx + (p[1] - g[1]) * dy) / size)) : 0;
  return [g[0] + s * dx, g[1] + s * dy];
}

export function nearest(segments, p) {
  let best = null;
  for (const g of segments) {
    const q = nearestOn(g, p);
    const d = far(p, q);
    if (!best || d < best.gap) best = { at: q, gap: d };
  }
  return best;
}

export function middleOf(g) {
  if (g.length <= 4) return [(g[0] + g[2]) / 2, (g[1] + g[3]) / 2];
  const angle = Math.atan2(g[1] - g[5], g[0] - g[4]) + g[7] / 2;
  return [g[4] + g[6] * Math.cos(angle), g[5] + g[6] * Math.sin(angle)];
}

export function joined(boxes) {
  const known = boxes.filter(Boolean);
  if (!known.length) return [0, 0, 100, 100];
  return [0, 1, 2, 3].map((i) => (i < 2 ? Math.min : Math.max)(...known.map((b) => b[i])));
}

export const boxOf = (points) => {
  const box = [Infinity, Infinity, -Infinity, -Infinity];
  for (const [x, y] of points) {
    box[0] = Math.min(box[0], x); box[1] = Math.min(box[1], y);
    box[2] = Math.max(box[2], x); box[3] = Math.max(box[3], y);
  }
  return points.length ? box : null;
};
