"""Why an open line is no edge of a plate: straight, a thread or centre mark, lettering, or beside every outline."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from cutplan.files.outline.joining import Chain
from cutplan.files.outline.loops import Loop
from cutplan.files.outline.loose.broken import LOOSE_SHARE, broken_rings
from cutplan.files.outline.strokes import middles
from cutplan.files.traces import Floats
from cutplan.texts import Message, say

if TYPE_CHECKING:
    from cutplan.files.outline.loose.open_ends import Box

#: Why lines that close nothing are no edge.
OPEN_LINE = say("open line")
_THREAD = say("thread or centre arc about a hole")
_LETTERS = say("lettering")
_OWN_LAYER = say("line on a layer without outlines")
_BESIDE = say("line beside the plate")
_ALONG = say("line that goes round nothing")
_NONE = Message("")
#: Most pairs of an arc and a full circle that are compared.
_LOOKED_UP = 5_000_000
#: An arc this close to a full circle repeats it [mm].
_SAME_MM = 0.005
#: Ends nearer than this share of the length: an outline with a gap.
_GAP = 0.25
#: Ends nearer than this share: an outline with a side missing, beside the plate and on it.
_SIDE, _SIDE_ON_PLATE = 0.75, 0.9
#: A chain smaller than this share of the largest outline is no part of its own.
_SMALL = 0.1
#: Pieces, from and to, that an outline with wide gaps has.
_RING_PIECES = (2, 8)
#: Arcs about the centre of a hole with a radius within these shares of its own are its thread or centre mark.
_THREAD_RADIUS = (0.6, 2.2)
#: Letters are at most this high [mm, share of the largest outline], stand this close [of their height], and are at
#: least so many, of at least so many different lengths.
_LETTER_MM, _LETTER_SHARE, _LETTER_APART, _LETTERS_FEWEST, _LETTERS_KINDS = 30.0, 0.15, 1.5, 4, 3
#: Neighbours that each letter is held against, and lines whose nearest other end is told.
_LETTER_NEIGHBOURS, _TOLD = 12, 200
_CUTTING = re.compile(r"cut|schnitt|hole|slot|loch|inner|outer|profil|kontur|contour|laser|plasma", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Explained:
    """Why a chain is no edge (empty: not told), whether it repeats a circle, and how far the nearest other end is [mm]."""

    reason: Message
    again: bool = False
    nearest: float = np.inf


def explained(chains: list[Chain], loops: list[Loop], border: Box | None) -> list[Explained]:
    """Return for each open chain why it is no edge of a plate, as far as the drawing tells."""
    from cutplan.files.outline.loose.open_ends import outer_boxes

    if not chains:
        return []
    boxes, largest = outer_boxes(loops)
    circles = np.array([loop.circle for loop in loops if loop.circle is not None]).reshape(-1, 3)
    few = 0 < len(circles) <= _LOOKED_UP / len(chains)
    layers = {loop.layer for loop in loops}
    out: list[Explained] = []
    unknown: list[int] = []
    for k, chain in enumerate(chains):
        if chain.is_line or (not chain.bulge.any() and chain.gap >= 0.9999 * chain.length):
            out.append(Explained(OPEN_LINE))
        elif few and _on_a_circle(chain, circles):
            out.append(Explained(_NONE, again=True))
        elif few and _about_a_hole(chain, circles):
            out.append(Explained(_THREAD))
        elif chain.layer not in layers and layers and not _CUTTING.search(chain.layer):
            out.append(Explained(_OWN_LAYER))
        else:
            out.append(Explained(_shape(chain, boxes, largest, border)))
            if not out[-1].reason:
                unknown.append(k)
    ring_like = _ring_like(chains)
    for k in ring_like:
        if not out[k].again and out[k].reason != _THREAD:
            out[k] = Explained(_NONE)
            unknown.append(k)
    if unknown and loops:
        for k in _lettering(chains, largest):
            if not out[k].again and k not in ring_like:
                out[k] = Explained(_LETTERS)
        _nearest(chains, out)
    return out


def with_circles(chains: list[Chain], loops: list[Loop]) -> set[int]:
    """Return the chains that repeat a circle of the drawing or are a thread about it: never an outline of their own."""
    circles = np.array([loop.circle for loop in loops if loop.circle is not None]).reshape(-1, 3)
    if not chains or not 0 < len(circles) <= _LOOKED_UP / len(chains):
        return set()
    return {k for k, c in enumerate(chains) if _on_a_circle(c, circles) or _about_a_hole(c, circles)}


def _ring_like(chains: list[Chain]) -> set[int]:
    """Return the chains that might go round with wide gaps: nothing else may be made of them.

    Many short pieces with gaps between are a dashed line.
    """
    rings = [ring.order for ring in broken_rings(chains, LOOSE_SHARE)]
    return {i for order in rings for i, _ in order if _RING_PIECES[0] <= len(order) <= _RING_PIECES[1]}


def _shape(chain: Chain, boxes: Floats, largest: float, border: Box | None) -> Message:
    """Return what the shape and place of a chain tell: little that could be an outline, or nothing."""
    low, high = chain.xy.min(axis=0), chain.xy.max(axis=0)
    near = bool(((boxes[:, :2] <= high + 1e-6) & (boxes[:, 2:] >= low - 1e-6)).all(axis=1).any())
    share = chain.gap / max(chain.length, 1e-300)
    if near:
        return _ALONG if share > _SIDE_ON_PLATE else _NONE
    if float(np.hypot(*(high - low))) < _SMALL * largest:
        return _BESIDE if share > _GAP else _NONE
    if border is not None and len(chain.bulge) <= 3 and not chain.bulge.any():
        return _BESIDE
    return _BESIDE if share > _SIDE else _NONE


def _on_a_circle(chain: Chain, circles: Floats) -> bool:
    """Return whether a chain of arcs repeats a piece of a full circle."""
    if not chain.bulge.all():
        return False
    points = np.vstack([chain.xy, middles(chain.xy, chain.bulge)])
    off = np.abs(np.hypot(*(points[:, None, :] - circles[None, :, :2]).transpose(2, 0, 1)) - circles[None, :, 2])
    return bool((off.max(axis=0) <= _SAME_MM).any())


def _about_a_hole(chain: Chain, circles: Floats) -> bool:
    """Return whether a chain is one arc about the centre of a circle: how threads are drawn."""
    if len(chain.bulge) > 2 or not chain.bulge.all():
        return False
    points = np.vstack([chain.xy, middles(chain.xy, chain.bulge)])
    radii = np.hypot(*(points[:, None, :] - circles[None, :, :2]).transpose(2, 0, 1))
    share = radii.mean(axis=0) / circles[:, 2]
    even = np.ptp(radii, axis=0) <= 0.01 * circles[:, 2]
    return bool((even & (share > _THREAD_RADIUS[0]) & (share < _THREAD_RADIUS[1])).any())


def _lettering(chains: list[Chain], largest: float) -> list[int]:
    """Return the chains that stand like the letters of a word: small, close together, and of many shapes."""
    from scipy.spatial import cKDTree

    boxes = np.array([[*c.xy.min(axis=0), *c.xy.max(axis=0)] for c in chains])
    tall = (boxes[:, 2:] - boxes[:, :2]).max(axis=1)
    small = np.flatnonzero(tall <= min(_LETTER_MM, _LETTER_SHARE * largest))
    if len(small) < _LETTERS_FEWEST:
        return []
    centres = 0.5 * (boxes[small, :2] + boxes[small, 2:])
    reach = _LETTER_APART * float(np.median(tall[small]))
    count = min(_LETTER_NEIGHBOURS, len(small))
    _, index = cKDTree(centres).query(centres, k=count, distance_upper_bound=1.7 * reach)
    a, b = np.repeat(np.arange(len(small)), count), np.asarray(index).ravel()
    a, b = a[b < len(small)], b[b < len(small)]
    parent = list(range(len(small)))

    def root(i: int) -> int:
        while parent[i] != i:
            parent[i] = parent[parent[i]]
            i = parent[i]
        return i

    for i, j in zip(a.tolist(), b.tolist(), strict=True):
        parent[root(i)] = root(j)
    words: dict[int, list[int]] = {}
    for i, k in enumerate(small.tolist()):
        words.setdefault(root(i), []).append(k)
    out: list[int] = []
    for word in words.values():
        kinds = {round(chains[k].length / max(reach, 1e-9), 2) for k in word}
        if len(word) >= _LETTERS_FEWEST and len(kinds) >= _LETTERS_KINDS:
            out += word
    return out


def _nearest(chains: list[Chain], out: list[Explained]) -> None:
    """Tell for each chain without a reason how far the nearest end of another chain is [mm]."""
    from scipy.spatial import cKDTree

    if len(chains) < 2:
        return
    ends = np.array([[c.xy[0], c.xy[-1]] for c in chains], dtype=np.float64).reshape(-1, 2)
    tree = cKDTree(ends)
    unknown = [k for k, told in enumerate(out) if not told.reason and not told.again]
    for k in unknown[:_TOLD]:
        told = out[k]
        distance, index = tree.query(ends[2 * k : 2 * k + 2], k=min(3, len(ends)))
        others = np.asarray(distance)[np.asarray(index) // 2 != k]
        out[k] = Explained(told.reason, told.again, float(others.min(initial=np.inf)))
