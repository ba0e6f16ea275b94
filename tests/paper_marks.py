"""Reads a printed sheet's own vector marks: round holes and lettering, in millimetres on the paper.

Knows how a circle is written in a PDF (four curves, closed), not where anything was meant to be printed.
"""

from __future__ import annotations

import ctypes
import re
from dataclasses import dataclass
from typing import Any

import numpy as np

MM = 25.4 / 72.0


@dataclass(frozen=True)
class Round:
    """A circle on a page: centre and radius [mm]."""

    x: float
    y: float
    radius: float


@dataclass(frozen=True)
class Marks:
    """What one page shows: circles, whole or cut at the edge of its drawing, and centres of crosses [mm]."""

    rounds: list[Round]
    crosses: np.ndarray


def marks(pdf: bytes) -> list[Marks]:
    """Return the marks of each page, read by pdfium from the drawn paths."""
    import pypdfium2
    import pypdfium2.raw as raw

    out = []
    for page in pypdfium2.PdfDocument(pdf):
        found: list[Round] = []
        lines: list[np.ndarray] = []
        for thing in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH], max_depth=4):
            for curved, nodes in _chains(thing, raw):
                if curved:
                    found += _circle(nodes)
                elif len(nodes) == 2:
                    lines.append(nodes)
        out.append(Marks(found, _crosses(np.array(lines).reshape(-1, 2, 2))))
    return out


def _chains(thing: Any, raw: Any) -> list[tuple[bool, np.ndarray]]:
    """Chains of a path in millimetres, and whether all of one is curves."""
    m = thing.get_matrix()
    path = thing.raw
    x, y = ctypes.c_float(), ctypes.c_float()
    chains: list[tuple[list[int], list[tuple[float, float]]]] = []
    for k in range(raw.FPDFPath_CountSegments(path)):
        segment = raw.FPDFPath_GetPathSegment(path, k)
        raw.FPDFPathSegment_GetPoint(segment, x, y)
        kind = raw.FPDFPathSegment_GetType(segment)
        if kind == raw.FPDF_SEGMENT_MOVETO:
            chains.append(([], []))
        else:
            chains[-1][0].append(kind)
        chains[-1][1].append(m.on_point(x.value, y.value))
    bezier = raw.FPDF_SEGMENT_BEZIERTO
    return [
        (all(k == bezier for k in kinds), np.array(points) * MM)
        for kinds, points in chains
        if kinds and (all(k == bezier for k in kinds) or bezier not in kinds)
    ]


def _circle(nodes: np.ndarray) -> list[Round]:
    """The circle that a chain of curves draws for a quarter turn or more: nodes lie on it, handles are as long as it asks."""
    corners = nodes[::3]
    if len(nodes) < 7 or len(nodes) % 3 != 1:
        return []
    rows = np.column_stack([2.0 * corners, np.ones(len(corners))])
    a, b, c = np.linalg.lstsq(rows, (corners**2).sum(axis=1), rcond=None)[0]
    radius = float(np.sqrt(max(0.0, c + a * a + b * b)))
    if not 0.5 < radius < 500.0 or np.abs(np.hypot(*(corners - (a, b)).T) - radius).max() > 0.01:
        return []
    z = (corners - (a, b)) @ np.array([1.0, 1.0j])
    turn = np.abs(np.angle(z[1:] / z[:-1]))
    handle = 4.0 / 3.0 * np.tan(0.25 * turn) * radius
    run = np.hypot(*(nodes[1::3] - corners[:-1]).T)
    if turn.sum() < 0.5 * np.pi or np.abs(run - handle).max() > 0.02 * radius:
        return []
    return [Round(float(a), float(b), radius)]


def _crosses(lines: np.ndarray) -> np.ndarray:
    """Centres of crosses with an open middle: two arms begin as far from it and run away in one line, two more square to it.

    An arm may end early, at the edge of the drawing or before a line.
    """
    away = lines[:, 1] - lines[:, 0]
    size = np.hypot(*away.T)
    middles, ways = [], []
    for k in np.flatnonzero((size > 1.0) & (size < 60.0)):
        gap = lines[:, 0] - lines[k, 0]
        apart = np.hypot(*gap.T)
        against = np.abs(away @ away[k] + size * size[k]) < 1e-3 * size * size[k] + 1e-9
        behind = np.abs(gap @ away[k] + apart * size[k]) < 1e-2 * size[k]
        for j in np.flatnonzero(against & behind & (apart > 0.1) & (apart < 2.0)):
            middles.append(0.5 * (lines[j, 0] + lines[k, 0]))
            ways.append(away[k] / size[k])
    middle, way = np.array(middles).reshape(-1, 2), np.array(ways).reshape(-1, 2)
    square = [
        ((np.hypot(*(middle - p).T) < 0.02) & (np.abs(way @ u) < 0.02)).any() for p, u in zip(middle, way, strict=True)
    ]
    return middle[np.array(square, dtype=bool)].reshape(-1, 2)


def laid_on(wanted: np.ndarray, radii: np.ndarray, page: list[Round]) -> list[np.ndarray]:
    """Return wanted places turned and moved, never mirrored, onto a page's circles: every way that as many agree with as
    with any, at least two. Two holes alone on a sheet may be two others as far apart."""
    seen = np.array([(c.x, c.y) for c in page]).reshape(-1, 2)
    size = np.array([c.radius for c in page])
    ways: list[np.ndarray] = []
    most = 2
    z = seen[:, 0] + 1j * seen[:, 1]
    w = wanted[:, 0] + 1j * wanted[:, 1]
    for i in range(len(w)):
        for j in range(i + 1, len(w)):
            for p in np.flatnonzero(np.abs(size - radii[i]) < 0.02):
                for q in np.flatnonzero(np.abs(size - radii[j]) < 0.02):
                    if p == q or abs(abs(z[q] - z[p]) - abs(w[j] - w[i])) > 0.2:
                        continue
                    turn = (z[q] - z[p]) / (w[j] - w[i])
                    there = z[p] + turn / abs(turn) * (w - w[i])
                    off = np.abs(there[:, None] - z[None, :]) + 100.0 * (np.abs(radii[:, None] - size[None, :]) > 0.02)
                    hits = int((off.min(axis=1) < 0.3).sum())
                    if hits > most:
                        ways, most = [], hits
                    if hits == most:
                        met = off.min(axis=1) < 0.3
                        ways.append(carried(wanted[met], seen[off.argmin(axis=1)[met]], wanted))
    return ways


def carried(places: np.ndarray, onto: np.ndarray, more: np.ndarray) -> np.ndarray:
    """More places, turned and moved as places are laid on others with the least sum of squares."""
    z, w, m = (p @ np.array([1.0, 1.0j]) for p in (places, onto, more))
    q = ((z - z.mean()).conj() * (w - w.mean())).sum()
    out = w.mean() + q / abs(q) * (m - z.mean())
    return np.column_stack([out.real, out.imag])


def table_rows(pdf: bytes) -> dict[str, tuple[float, float, float]]:
    """Return the rows of a printed table of coordinates, name to (size, along, square to it) [mm], from its lettering."""
    import pypdfium2

    found: dict[str, tuple[float, float, float]] = {}
    for page in pypdfium2.PdfDocument(pdf):
        text = page.get_textpage().get_text_bounded()
        if "Along M1-M2" in text:
            for name, size, x, y in re.findall(
                r"^([DWM]\d+)\s+(–|[\d.]+)(?: mm)?\s+(-?[\d.]+) mm\s+(-?[\d.]+) mm", text, re.MULTILINE
            ):
                found[name] = (0.0 if size == "–" else float(size), float(x), float(y))
    return found
