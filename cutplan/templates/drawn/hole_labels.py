"""The labels of a template's holes, pads and marks; where asked for, those of one size share an entry of a list."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from cutplan.drawing.model import Item, Text
from cutplan.drawing.placer.ground import Floats, Ground
from cutplan.templates.drawn.labels import Lettering, hole_label, own_line
from cutplan.templates.shapes.template import Template

#: On a template with more holes than this no label is led to its hole from afar: nobody could follow the lines.
_MOST_LEADERS = 150
#: Between the edges of two holes farther apart than this no label of either stands near both: twice a label in inches [mm].
_SEEN_MM = 110.0


@dataclass(frozen=True, slots=True)
class HoleLabels:
    """Labels and the list's entries, the names of things that found no room, and of those on paper that is cut off."""

    items: tuple[Item, ...]
    lost: tuple[str, ...]
    trimmed: tuple[str, ...]


def hole_labels(
    template: Template, kept: Ground, room: Ground, sizes_mm: tuple[float, ...], *, listed: bool
) -> HoleLabels:
    """Return the labels of holes, pads and marks on the kept paper, else beside it.

    Parameters
    ----------
    template : Template
        Where it lies in the layout.
    kept, room : Ground
        What is free on the paper that is kept, and on all that is the template's own; both are changed.
    sizes_mm : tuple of float
        Font sizes [mm], the wanted one first; a smaller one where that finds no room.
    listed : bool
        Whether things of one size are named alone, with one entry for all in a list on the kept paper.
    """
    spots, size_mm = template.spots, sizes_mm[-1]
    items: list[Item] = []
    lost: list[str] = []
    trimmed: list[str] = []
    shared = {note for note, n in Counter(s.note for s in spots).items() if note and n > 1} if listed else set()
    entries: dict[str, list[str]] = {}
    things = np.array([(*s.centre, s.radius_mm) for s in spots]).reshape(-1, 3)
    crossed = np.array([s.cross for s in spots], dtype=bool)
    few = len(spots) <= _MOST_LEADERS
    for k, spot in enumerate(spots):
        others = _beside(k, things, crossed)
        bare = replace(spot, note="", note_rows=())
        label: list[Item] = []
        for size in () if spot.note in shared else sizes_mm:
            label = label or hole_label(spot, others, (kept, room), size, leader=few)
        if not label and listed and spot.note:
            label = hole_label(bare, others, (kept, room), size_mm, leader=few)
            entries.setdefault(spot.note, []).extend([spot.name] if label else [])
        if not label:
            label = hole_label(spot, others, (room, kept), size_mm, leader=few)
            trimmed += [spot.name] if label else []
        if not label:
            # its name alone says more than nothing
            label = hole_label(bare, others, (kept, room), size_mm, leader=few)
            lost.append(spot.name)
        items += label
    for note, names in entries.items():
        words = _entry(names, note, (kept, room), template, size_mm)
        items += words
        lost += [] if words else names
    return HoleLabels(tuple(items), tuple(lost), tuple(trimmed))


def _beside(k: int, things: Floats, crossed: NDArray[np.bool_]) -> Floats:
    """The crossed things whose edges a label of one of them may come near, the nearest first: rows (x, y, radius)."""
    apart = np.hypot(*(things[:, :2] - things[k, :2]).T) - things[:, 2] - things[k, 2]
    close = crossed & (apart < _SEEN_MM)
    close[k] = False
    nearest = np.argsort(apart, kind="stable")
    found: Floats = things[nearest[close[nearest]][:40]]
    return found


def _entry(
    names: list[str], note: str, rooms: tuple[Ground, Ground], template: Template, size_mm: float
) -> tuple[Text, ...]:
    """One entry of the list: the names of all things of one size, and the size."""
    if not names:
        return ()
    words = own_line(f"{', '.join(in_runs(names))}: {note}", rooms, template.edge.centroid, Lettering(size_mm))
    return tuple(replace(w, tag="hole list") for w in words)


def in_runs(names: list[str]) -> list[str]:
    """Return names, three and more that count on as their first and last: H1-H4."""
    runs: list[list[str]] = []
    for name in names:
        if runs and _next(runs[-1][-1]) == name:
            runs[-1].append(name)
        else:
            runs.append([name])
    told: list[str] = []
    for run in runs:
        told += [f"{run[0]}-{run[-1]}"] if len(run) > 2 else run
    return told


def _next(name: str) -> str:
    """The name that counts on from one that ends in a number; empty: it does not."""
    letters = name.rstrip("0123456789")
    return f"{letters}{int(name[len(letters) :]) + 1}" if len(letters) < len(name) else ""
