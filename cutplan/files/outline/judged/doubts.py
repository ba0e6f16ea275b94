"""Warnings about what is read as drawn but hardly meant: giants, stray circles, holes that nothing can make."""

from __future__ import annotations

from cutplan.files.outline.nesting import Nest
from cutplan.files.reading_options import LENGTH, UNITS
from cutplan.findings import Finding
from cutplan.texts import Message, mm, number, place, plural, say

#: Longest plate that is no surprise [mm].
_GIANT_MM = 10_000.0
#: Smallest round hole that is no surprise [mm].
_TINY_HOLE_MM = 0.5
#: A plain disc this much smaller than the largest part is likely a hole drawn beside it [-].
_STRAY = 0.02


def doubts(tree: Nest) -> list[Finding]:
    """Return the warnings about the parts and holes of a drawing."""
    if not tree.loops:
        return []
    return [*_giants(tree), *_stray_circles(tree), *_tiny_holes(tree)]


def _giants(tree: Nest) -> list[Finding]:
    x0, y0, x1, y1 = tree.loops[0].box
    size = max(x1 - x0, y1 - y0)
    if size <= _GIANT_MM:
        return []
    message = say("a part is {size} long", size=number(size / 1000.0, "m", digits=1))
    hint = say("check the unit: state it with {units}, or one length with {length}", units=UNITS, length=LENGTH)
    return [Finding("part-huge", "warning", message, tree.loops[0].where.said(), hint)]


def _stray_circles(tree: Nest) -> list[Finding]:
    outer = [i for i, d in enumerate(tree.depth) if d == 0]
    inside = tree.children()
    stray = [
        i
        for i in outer
        if tree.loops[i].circle is not None and not inside[i] and tree.loops[i].area < _STRAY * tree.loops[0].area
    ]
    if not stray or len(stray) == len(outer):
        return []
    message = plural(
        "a circle beside the plate was read as a part of its own",
        "{count} circles beside the plate were read as parts of their own",
        len(stray),
    )
    hint = say("delete it if it is no part, or move it onto the plate if it is a hole")
    return [Finding("stray-circle", "warning", message, _at(tree, stray[0]), hint)]


def _tiny_holes(tree: Nest) -> list[Finding]:
    tiny = [
        i
        for i, loop in enumerate(tree.loops)
        if loop.circle is not None and tree.depth[i] % 2 and 2.0 * loop.circle[2] < _TINY_HOLE_MM
    ]
    if not tiny:
        return []
    least = min(tiny, key=lambda i: tree.loops[i].area)
    circle = tree.loops[least].circle
    assert circle is not None
    message = plural(
        "a hole of {diameter} is smaller than a plate's holes are",
        "{count} holes, the smallest of {diameter}, are smaller than a plate's holes are",
        len(tiny),
        diameter=mm(2.0 * circle[2], 4),
    )
    hint = say("check the unit, or delete it if it is only a mark")
    return [Finding("hole-tiny", "warning", message, _at(tree, least), hint)]


def _at(tree: Nest, i: int) -> Message:
    loop = tree.loops[i]
    x0, y0, x1, y1 = loop.box
    return say("{at}; {what}", at=place(0.5 * (x0 + x1), 0.5 * (y0 + y1), 3), what=loop.where.said())
