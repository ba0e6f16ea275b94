"""Closed outlines that stand like the letters of a word: text that a program turned into shapes, hardly meant to be cut."""

from __future__ import annotations

import numpy as np

from cutplan.files.outline.loops import Loop, chords
from cutplan.files.outline.nesting import Nest

#: Letters are at most this high [mm, share of the largest outline].
_HIGH_MM, _HIGH_SHARE = 40.0, 0.2
#: Letters of a word stand this close [of their height], and are of one height within this factor.
_APART, _EVEN = 0.9, 1.9
#: A letter's area is below this share of its hull's, or it has an eye.
_HOLLOW = 0.965
#: Letters of which a word is made at least, of at least so many shapes.
_FEWEST, _SHAPES = 3, 3
#: Outlines looked at.
_MOST = 20_000


def words_of(tree: Nest) -> list[list[int]]:
    """Return the groups of loops that stand like words, each with the loops of its letters."""
    largest = max((_across(loop) for loop in tree.loops), default=0.0)
    high = min(_HIGH_MM, _HIGH_SHARE * largest)
    inside = tree.children()
    siblings: dict[int, list[int]] = {}
    for i, loop in enumerate(tree.loops[:_MOST]):
        if _tall(loop) <= high and loop.circle is None and all(not inside[j] for j in inside[i]):
            siblings.setdefault(tree.parent[i], []).append(i)
    out = []
    for members in siblings.values():
        if len(members) >= _FEWEST:
            out += [word for word in _close(tree, members) if _is_word(tree, word, inside)]
    return out


def _across(loop: Loop) -> float:
    x0, y0, x1, y1 = loop.box
    return float(np.hypot(x1 - x0, y1 - y0))


def _tall(loop: Loop) -> float:
    x0, y0, x1, y1 = loop.box
    return max(x1 - x0, y1 - y0)


def _close(tree: Nest, members: list[int]) -> list[list[int]]:
    """Return the members in groups whose boxes follow each other closely."""
    import shapely

    boxes = np.array([tree.loops[i].box for i in members])
    tall = (boxes[:, 2:] - boxes[:, :2]).max(axis=1)
    reach = 0.5 * _APART * tall
    grown = shapely.box(boxes[:, 0] - reach, boxes[:, 1] - reach, boxes[:, 2] + reach, boxes[:, 3] + reach)
    parent = list(range(len(members)))

    def root(i: int) -> int:
        while parent[i] != i:
            parent[i] = parent[parent[i]]
            i = parent[i]
        return i

    for i, j in shapely.STRtree(grown).query(grown, predicate="intersects").T.tolist():
        if i < j and max(tall[i], tall[j]) <= _EVEN * min(tall[i], tall[j]):
            parent[root(i)] = root(j)
    groups: dict[int, list[int]] = {}
    for i, k in enumerate(members):
        groups.setdefault(root(i), []).append(k)
    return list(groups.values())


def _is_word(tree: Nest, word: list[int], inside: list[list[int]]) -> bool:
    """Return whether loops close together are of many shapes, and most of them hollow or with an eye, like letters."""
    from shapely import Polygon

    shapes: set[tuple[float, float]] = set()
    letters = 0
    size = float(np.median([_tall(tree.loops[i]) for i in word]))
    for i in word:
        loop = tree.loops[i]
        hollow = bool(inside[i]) or loop.area < _HOLLOW * Polygon(chords(loop)).convex_hull.area
        letters += hollow
        if hollow:
            shapes.add((round(loop.length / size, 1), round(loop.area / size**2, 1)))
    return letters >= _FEWEST and len(shapes) >= _SHAPES and 2 * letters >= len(word)
