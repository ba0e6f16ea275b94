"""Traces in millimetres with every free curve turned into arcs: the strokes that joining works on."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, cos, hypot, sin, tan

import numpy as np

from cutplan.files.curves.settle import Fitted, fit_curves
from cutplan.files.traces import Affine, Bulged, Ellipse, Floats, Run, Trace, straight
from cutplan.files.where import Where
from cutplan.tolerance import FIT_MM

#: Pieces shorter than this are no pieces [mm].
NOTHING_MM = 1e-7


@dataclass(frozen=True, slots=True)
class Stroke:
    """Lines and arcs through points (n, 2) [mm] with the bulge from each to the next; a full circle is kept as such.

    ``copies`` tells how often it was drawn.
    """

    xy: Floats
    bulge: Floats
    where: Where
    layer: str
    filled: bool = False
    circle: tuple[float, float, float] | None = None
    fitted: bool = False
    copies: int = 1

    @property
    def gap(self) -> float:
        """Distance between the two ends [mm]."""
        (x0, y0), (x1, y1) = self.xy[0].tolist(), self.xy[-1].tolist()
        return hypot(x1 - x0, y1 - y0)

    @property
    def length(self) -> float:
        """Length [mm]."""
        return float(lengths(self.xy, self.bulge).sum())


def lengths(xy: Floats, bulge: Floats) -> Floats:
    """Return the length of each piece, (n - 1,) [mm]."""
    return arc_lengths(np.hypot(*(xy[1:] - xy[:-1]).T), bulge)


def arc_lengths(chord: Floats, bulge: Floats) -> Floats:
    """Return the length of arcs by chord and bulge, any shape [mm]."""
    b = np.abs(bulge)
    bent = b > 1e-9
    safe = np.where(bent, b, 1.0)
    run: Floats = np.where(bent, chord * (1.0 + b * b) / safe * np.arctan(b), chord)
    return run


def total_length(strokes: list[Stroke]) -> float:
    """Return the length of all strokes together [mm]."""
    single = [s for s in strokes if len(s.bulge) == 1]
    total = sum(s.length for s in strokes if len(s.bulge) != 1)
    if single:
        ends = np.array([s.xy for s in single])
        bulge = np.array([s.bulge[0] for s in single])
        total += float(arc_lengths(np.hypot(*(ends[:, 1] - ends[:, 0]).T), bulge).sum())
    return total


def to_strokes(traces: list[Trace], mm_per_unit: float) -> list[Stroke | None]:
    """Return traces as strokes in millimetres; None for each that has no length."""
    scale = Affine(mm_per_unit, 0.0, 0.0, mm_per_unit)
    free: list[Run] = []
    plans: list[list[Run | int]] = []
    for trace in traces:
        plan: list[Run | int] = []
        for run in trace.runs:
            if isinstance(run, Bulged):
                plan.append(Bulged(run.xy * mm_per_unit, run.bulge))
                continue
            for moved in run.moved(scale):
                if isinstance(moved, Ellipse):
                    moved = _plain(moved)
                if isinstance(moved, Bulged) or (isinstance(moved, Ellipse) and moved.radius is not None):
                    plan.append(moved)
                else:
                    plan.append(len(free))
                    free.append(moved)
        plans.append(plan)
    fitted = fit_curves(free)
    return [_stroke(trace, plan, fitted) for trace, plan in zip(traces, plans, strict=True)]


def _plain(run: Ellipse) -> Run:
    """Return an ellipse without width as the line that it is, others as they are."""
    if hypot(*run.u) > NOTHING_MM and hypot(*run.v) > NOTHING_MM:
        return run
    return straight(np.array([run.at(run.t0), run.at(run.t1)]))


def _stroke(trace: Trace, plan: list[Run | int], fitted: list[Fitted]) -> Stroke | None:
    """Return one trace as a stroke from its runs, free curves given as an index into the fitted ones."""
    if len(plan) == 1:
        run = plan[0]
        if isinstance(run, Ellipse) and run.is_full and run.radius is not None:
            return round_stroke(run.c[0], run.c[1], run.radius, trace.where, trace.layer)
        if isinstance(run, Bulged) and len(run.bulge) == 1:
            single = Stroke(run.xy, run.bulge, trace.where, trace.layer)
            return single if single.gap > NOTHING_MM else None
    pieces: list[tuple[Floats, Floats]] = []
    joints: list[Floats] = []
    for run in plan:
        if isinstance(run, int):
            pieces.append((fitted[run].xy, fitted[run].bulge))
            joints.append(fitted[run].joints)
            continue
        if isinstance(run, Ellipse):
            pieces.append(_circular(run))
        elif isinstance(run, Bulged):
            pieces.append((run.xy, run.bulge))
        joints.append(pieces[-1][0])
    curved = any(isinstance(run, int) for run in plan)
    if not pieces:
        return None
    if len(pieces) == 1:
        xy, bulge = pieces[0]
    else:
        xy = np.vstack([pieces[0][0], *[p[0][1:] for p in pieces[1:]]])
        bulge = np.concatenate([p[1] for p in pieces])
    if len(xy) < 2:
        return None
    step = np.hypot(*(xy[1:] - xy[:-1]).T)
    keep = step > NOTHING_MM
    if not keep.all():
        if not keep.any():
            return None
        last = xy[-1]
        xy = np.vstack([xy[:-1][keep], last])
        bulge = bulge[keep]
    if not bulge.any() and len(xy) == 3 and np.array_equal(xy[0], xy[2]):
        return Stroke(xy[:2], bulge[:1], trace.where, trace.layer)
    stroke = Stroke(xy, bulge, trace.where, trace.layer, trace.filled, None, curved)
    return _rounded(stroke, np.vstack(joints)) if curved else stroke


def round_stroke(cx: float, cy: float, radius: float, where: Where, layer: str) -> Stroke | None:
    """Return a full circle [mm]."""
    if radius <= NOTHING_MM:
        return None
    xy = np.array([[cx + radius, cy], [cx - radius, cy], [cx + radius, cy]])
    return Stroke(xy, np.ones(2), where, layer, False, (cx, cy, radius))


def _circular(run: Ellipse) -> tuple[Floats, Floats]:
    """Return the exact arc of a piece of a circle, halved when it is more than three quarters of a turn."""
    sweep = run.t1 - run.t0
    turn = sweep if run.ccw else -sweep
    n = 2 if abs(sweep) > 4.7 else 1
    xy = np.array([run.at(run.t0 + sweep * k / n) for k in range(n + 1)])
    return (xy, np.full(n, tan(0.25 * turn / n)))


def _rounded(stroke: Stroke, joints: Floats) -> Stroke:
    """Return a true circle for a closed free curve that is one within the fit tolerance.

    The circle goes through the curve's own joints, which a drawing program puts on the circle that was meant.
    """
    if stroke.gap > FIT_MM or len(stroke.xy) < 4:
        return stroke
    found = circle_of(stroke.xy, stroke.bulge, FIT_MM, joints)
    if found is None:
        return stroke
    made = round_stroke(*found, stroke.where, stroke.layer)
    return stroke if made is None else Stroke(made.xy, made.bulge, stroke.where, stroke.layer, False, found, True)


def circle_of(
    xy: Floats, bulge: Floats, tolerance: float, joints: Floats | None = None
) -> tuple[float, float, float] | None:
    """Return (x, y, radius) [mm] when a closed run of arcs lies on one circle within a tolerance [mm], else None.

    The circle is the least squares one through ``joints`` where at least three are given, else through all points.
    """
    if len(bulge) < 2:
        return None
    points = np.vstack([xy[:-1], middles(xy, bulge)])
    through = points if joints is None or len(joints) < 4 else joints
    origin = points.mean(axis=0)
    p = through - origin
    a = np.column_stack([2.0 * p, np.ones(len(p))])
    solution, *_ = np.linalg.lstsq(a, (p * p).sum(axis=1), rcond=None)
    square = float(solution[2] + solution[0] ** 2 + solution[1] ** 2)
    if not square > 0.0:
        return None
    radius = float(np.sqrt(square))
    p = points - origin
    off = np.abs(np.hypot(p[:, 0] - solution[0], p[:, 1] - solution[1]) - radius)
    if float(off.max()) > tolerance or radius < 5.0 * tolerance:
        return None
    ang = np.unwrap(np.arctan2(xy[:, 1] - origin[1] - solution[1], xy[:, 0] - origin[0] - solution[0]))
    if abs(abs(float(ang[-1] - ang[0])) - 2.0 * np.pi) > 0.1:
        return None
    return float(origin[0] + solution[0]), float(origin[1] + solution[1]), radius


def middles(xy: Floats, bulge: Floats) -> Floats:
    """Return the point half way along each piece, (n - 1, 2) [mm]."""
    v = xy[1:] - xy[:-1]
    right = np.column_stack([v[:, 1], -v[:, 0]])
    middle: Floats = 0.5 * (xy[1:] + xy[:-1]) + 0.5 * bulge[:, None] * right
    return middle


def direction(xy: Floats, bulge: Floats, *, at_end: bool) -> tuple[float, float]:
    """Return the unit vector [1] that leads away from an end of a stroke, (n, 2), into it."""
    if at_end:
        (x0, y0), (x1, y1), b = xy[-1], xy[-2], -float(bulge[-1])
    else:
        (x0, y0), (x1, y1), b = xy[0], xy[1], float(bulge[0])
    half = -2.0 * atan(b)
    dx, dy = float(x1 - x0), float(y1 - y0)
    size = hypot(dx, dy) or 1.0
    k, s = cos(half), sin(half)
    return ((k * dx - s * dy) / size, (s * dx + k * dy) / size)
