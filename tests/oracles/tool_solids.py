"""A judge of tools against the brace that shares no code with the planner: clouds of points carried along each cut.

A tool is a cloud sampled from its own solids, typed here anew; bars and posts are boxes in their own axes. A cut is reached
when one way to hold the tool keeps every point of the cloud out of every box at every place of the cut.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import numpy as np

Cloud = np.ndarray
#: Points of a cloud lie so far apart [mm]; what is thinner than that can slip between them.
STEP = 4.0


def grid(x: tuple[float, float], y: tuple[float, float], z: tuple[float, float]) -> Cloud:
    axes = [np.linspace(a, b, max(2, int(np.ceil((b - a) / STEP)) + 1)) for a, b in (x, y, z)]
    return np.stack([v.ravel() for v in np.meshgrid(*axes, indexing="ij")], axis=1)


def rod(start: tuple[float, float, float], end: tuple[float, float, float], radius: float) -> Cloud:
    """A round rod: rings along its axis."""
    a, b = np.array(start), np.array(end)
    along = (b - a) / np.linalg.norm(b - a)
    side = np.cross(along, [0.0, 0.0, 1.0] if abs(along[2]) < 0.9 else [1.0, 0.0, 0.0])
    side /= np.linalg.norm(side)
    up = np.cross(along, side)
    out = []
    for t in np.linspace(0.0, 1.0, max(2, int(np.linalg.norm(b - a) / STEP) + 1)):
        for r in np.linspace(0.0, radius, max(2, int(radius / STEP) + 1)):
            q = np.linspace(0.0, 2.0 * np.pi, max(6, int(2.0 * np.pi * r / STEP)), endpoint=False)
            out.append(a + t * (b - a) + r * (np.cos(q)[:, None] * side + np.sin(q)[:, None] * up))
    return np.vstack(out)


def clouds(tool: str, disc: float, depth: float) -> Iterator[Cloud]:
    """Ways to hold a tool at its cut: x the way it goes, z up from the face."""
    if tool == "cut-off disc":
        axis = 0.5 * disc - depth
        wheel = rod((0.0, -0.5, axis), (0.0, 0.5, axis), 0.5 * disc)
        head = rod((0.0, 2.0, axis), (0.0, 70.0, axis), 26.0)
        for tilt in (0.0, 20.0, 40.0, 50.0):
            c, s = np.cos(np.radians(tilt)), np.sin(np.radians(tilt))
            motor = rod((-30.0 * c, 46.0, axis + 30.0 * s), (-250.0 * c, 46.0, axis + 250.0 * s), 30.0)
            yield np.vstack([wheel, head, motor])
    elif tool == "jigsaw":
        yield np.vstack([grid((-105, 45), (-37.5, 37.5), (0.5, 5.0)), grid((-145, 22), (-32, 32), (6, 198))])
    elif tool == "reciprocating saw":
        yield grid((-24, 24), (-24, 24), (6, 445))
    elif tool == "hacksaw":
        yield grid((-155, 18), (-24, 24), (6, 88))


def row_clouds() -> Iterator[Cloud]:
    """A drill with an angle head, its handle to eight sides."""
    head, handle = rod((0.0, 0.0, 26.0), (0.0, 0.0, 114.0), 12.0), grid((-148, 0), (-24, 24), (57, 113))
    for k in range(8):
        yield turned(np.vstack([head, handle]), k * np.pi / 4.0)


def torch_clouds() -> Iterator[Cloud]:
    """A hand plasma torch, its handle to eight sides: it is turned in the hand while it cuts."""
    torch = np.vstack([grid((-15, 15), (-15, 15), (3, 42)), grid((-178, 15), (-15, 15), (42, 118))])
    for k in range(8):
        yield turned(torch, k * np.pi / 4.0)


def turned(cloud: Cloud, angle: float) -> Cloud:
    c, s = np.cos(angle), np.sin(angle)
    return np.column_stack([cloud[:, 0] * c - cloud[:, 1] * s, cloud[:, 0] * s + cloud[:, 1] * c, cloud[:, 2]])


class Box:
    """A box with its foot on two points, a width and two heights."""

    def __init__(self, a: np.ndarray, b: np.ndarray, width: float, low: float, high: float) -> None:
        self.middle, self.half = 0.5 * (a + b), 0.5 * float(np.linalg.norm(b - a))
        self.u = (b - a) / np.linalg.norm(b - a)
        self.width, self.low, self.high = width, low, high

    def holds(self, cloud: Cloud) -> bool:
        off = cloud[:, :2] - self.middle
        along, across = off @ self.u, off @ np.array([-self.u[1], self.u[0]])
        return bool(
            (
                (np.abs(along) < self.half)
                & (np.abs(across) < 0.5 * self.width)
                & (cloud[:, 2] > self.low)
                & (cloud[:, 2] < self.high)
            ).any()
        )


def boxes(plan: object) -> list[Box]:
    out = []
    for brace in plan.bracing.fitted:  # type: ignore[attr-defined]
        if brace.on != "marked":
            continue
        for bar in brace.bars:
            a, b = np.array(bar.start), np.array(bar.end)
            s = bar.section
            tall = s.size_mm if s.kind != "bar" or s.on_edge else s.wall_mm
            wide = s.wall_mm if s.on_edge else s.size_mm
            out.append(Box(a, b, wide, bar.underside_mm, bar.underside_mm + tall))
            u = (b - a) / np.linalg.norm(b - a)
            for foot in bar.feet:
                if foot.height_mm > 0.0:
                    at = np.array(foot.at)
                    out.append(
                        Box(
                            at - 0.5 * foot.along_mm * u,
                            at + 0.5 * foot.along_mm * u,
                            foot.across_mm,
                            0.0,
                            foot.height_mm,
                        )
                    )
    return out


def stations(cut: object, disc: float) -> list[tuple[np.ndarray, float]]:
    """Places and headings of the tool along a cut; a disc's middle stays half its chord inside its slot."""
    run = cut.reach if cut.tool == "cut-off disc" else cut.path  # type: ignore[attr-defined]
    pts = [np.array(s.point_at(t)) for s in run for t in np.linspace(0.0, 1.0, 3 if not hasattr(s, "radius") else 9)]
    pts = [p for k, p in enumerate(pts) if k == 0 or np.linalg.norm(p - pts[k - 1]) > 1e-9]
    length = np.concatenate([[0.0], np.cumsum([np.linalg.norm(b - a) for a, b in itertools.pairwise(pts)])])
    back = np.sqrt(cut.depth_mm * (disc - cut.depth_mm)) if cut.tool == "cut-off disc" else 0.0  # type: ignore[attr-defined]
    low, high = (back, length[-1] - back) if length[-1] > 2.0 * back else (0.5 * length[-1], 0.5 * length[-1])
    xy = np.array(pts)
    out = []
    for at in np.linspace(low, high, max(2, int((high - low) / 8.0) + 1)):
        place = np.array([np.interp(at, length, xy[:, k]) for k in (0, 1)])
        k = int(np.clip(np.searchsorted(length, at), 1, len(length) - 1))
        run_ = xy[k] - xy[k - 1]
        out.append((place, float(np.arctan2(run_[1], run_[0]))))
    return out


def reached(cut: object, disc: float, standing: list[Box]) -> bool:
    """Whether one way to hold the tool gets it along the whole cut."""
    places = stations(cut, disc)
    if cut.tool in ("drilled row", "hand plasma"):  # type: ignore[attr-defined]
        ways = list(row_clouds() if cut.tool == "drilled row" else torch_clouds())  # type: ignore[attr-defined]
        return all(any(not any(b.holds(c + np.append(p, 0.0)) for b in standing) for c in ways) for p, _ in places)
    for cloud in clouds(cut.tool, disc, cut.depth_mm):  # type: ignore[attr-defined]
        for side, way in ((1, 1), (1, -1), (-1, 1), (-1, -1)):
            held = cloud * [way, side, 1]
            if not any(b.holds(turned(held, q) + np.append(p, 0.0)) for p, q in places for b in standing):
                return True
    return False
