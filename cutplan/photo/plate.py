"""From pictures to an exact plate with the account of its errors, or a refusal that says what to do."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from math import atan2

import numpy as np

from cutplan.errors import DrawingError
from cutplan.findings import Finding
from cutplan.findings import errors as worst
from cutplan.geometry.check import check_region
from cutplan.geometry.contour import Contour
from cutplan.geometry.region import Region
from cutplan.geometry.segment import Line
from cutplan.photo.account import Account, PieceError, account
from cutplan.photo.adjustment.adjust import Scale
from cutplan.photo.adjustment.solved import Known, Solved, solve
from cutplan.photo.doubts import edge_doubts, height_doubts, no_scale, shape_doubts
from cutplan.photo.edge.outline import Outline, find_outline
from cutplan.photo.edge.silhouette import silhouette
from cutplan.photo.marking.marks import PAPER_MM
from cutplan.photo.marking.sighting import sight
from cutplan.photo.marking.tone import in_their_tone
from cutplan.photo.picture import Picture
from cutplan.texts import say

#: How far the edge seen may lie from the pieces drawn, unless asked otherwise [mm].
TOLERANCE_MM = 0.1

#: Tolerance over the standard error allowed where only one side is seen: walls of holes mislead by a tenth.
_ALONE = 1.2


@dataclass(frozen=True)
class Wanted:
    """What a tracing needs beside its pictures.

    Parameters
    ----------
    thickness_mm : float
        Thickness of the card, measured [mm].
    known : tuple of Known
        Lengths measured between crosses.
    printer : Scale or None
        What the shop file knows of the printer; None: nothing.
    scan : bool
        Whether the pictures are flatbed scans.
    tolerance_mm : float
        How far the edge seen may lie from the pieces drawn [mm]; hand-cut edges want more.
    """

    thickness_mm: float
    known: tuple[Known, ...] = ()
    printer: Scale | None = None
    scan: bool = False
    tolerance_mm: float = TOLERANCE_MM


@dataclass(frozen=True)
class HoleFound:
    """One hole: its name, exact contour, and standard errors [mm]; ``proved`` False when one picture alone shows it."""

    name: str
    contour: Contour
    diameter_error_mm: float | None
    place_error_mm: float
    proved: bool


@dataclass(frozen=True)
class Traced:
    """The plate found.

    ``region`` and ``holes`` are in the plate's own frame: its longest line along x, its box at zero. ``frame`` (angle
    [rad], x, y [mm]) leads from there back to the marks. ``height_mm`` is what the pictures tell of the face's height
    over the backing (None: nothing).
    """

    region: Region
    outer_errors: tuple[PieceError, ...]
    holes: tuple[HoleFound, ...]
    account: Account
    outline: Outline
    solved: Solved
    frame: tuple[float, float, float]
    height_mm: float | None
    findings: tuple[Finding, ...] = field(default=())


def trace(
    pictures: Sequence[Picture], wanted: Wanted, progress: Callable[[str, int, int], None] | None = None
) -> Traced:
    """Return the plate that pictures of a card show.

    Parameters
    ----------
    pictures : sequence of Picture
        Photographs by one camera, or scans.
    wanted : Wanted
        Thickness, measured lengths, printer.
    progress : callable or None
        Told the step, how many are done and how many there are.

    Raises
    ------
    DrawingError
        When something cannot be proved: scale, marks, edge, height; the message says what to do.
    """

    def tell(step: str, done: int) -> None:
        if progress:
            progress(step, done, 4)

    if not wanted.known and wanted.printer is None:
        raise no_scale()
    scale = wanted.printer or Scale(common=0.02, apart=0.01)
    tell("marks", 0)
    sighting = sight(pictures, wanted.scan)
    pictures, tone_findings = in_their_tone(pictures, sighting.dots)
    tell("adjustment", 1)
    solved = solve(pictures, sighting, wanted.known, scale, wanted.scan)
    adjusted = solved.adjusted
    views = adjusted.views
    face = 0.0 if wanted.scan else wanted.thickness_mm - PAPER_MM
    tell("outline", 2)
    rough = silhouette(pictures, views, adjusted.strips, adjusted.scale, face)
    shape_findings = shape_doubts(rough, pictures[0].name)
    height_told = not wanted.scan and _apart(solved, rough.rings[0]) > 0.12
    stray = wanted.tolerance_mm / (2.5 if height_told or wanted.scan else _ALONE)
    outline = find_outline(pictures, views, rough, wanted.thickness_mm, face, stray, height_told)
    tell("account", 3)
    errors = account(outline, adjusted, views, height_told)
    findings = [
        *solved.findings,
        *tone_findings,
        *shape_findings,
        *edge_doubts(outline, len(pictures), solved.obs.letter(0)),
    ]
    height, more = height_doubts(outline, wanted.thickness_mm, height_told, wanted.scan)
    findings += more
    return _in_own_frame(outline, errors, solved, height, tuple(findings), height_told or wanted.scan)


def _apart(solved: Solved, ring: np.ndarray) -> float:
    """Widest angle between two directions from which the card was photographed [rad]."""
    middle = np.array([*ring.mean(axis=0), 0.0])
    views = solved.adjusted.views
    ways = [views.eye(i) - middle for i in range(len(views.poses))]
    ways = [w / np.linalg.norm(w) for w in ways]
    return max((float(np.arccos(np.clip(a @ b, -1.0, 1.0))) for a in ways for b in ways), default=0.0)


def _in_own_frame(
    outline: Outline, errors: Account, solved: Solved, height: float | None, findings: tuple[Finding, ...], proved: bool
) -> Traced:
    contours = [f.contour() for f in outline.fits]
    region = Region(contours[0], tuple(contours[1:]))
    lines = [s for s in region.outer.segments if isinstance(s, Line)]
    turn = 0.0
    if lines:
        way = max(lines, key=lambda s: s.length).start_direction
        turn = -atan2(way.y, way.x)
    turned = Region(region.outer.turned(turn), tuple(h.turned(turn) for h in region.holes))
    box = turned.box
    turned = Region(
        turned.outer.moved(-box.xmin, -box.ymin), tuple(h.moved(-box.xmin, -box.ymin) for h in turned.holes)
    )
    holes = [
        HoleFound("", h, 2.0 * e[0].radius_mm if h.as_circle() else None, _place_error(e), proved)
        for h, e in zip(turned.holes, errors.rings[1:], strict=True)
    ]
    order = sorted(
        range(len(holes)), key=lambda i: (round(holes[i].contour.box.centre.y), holes[i].contour.box.centre.x)
    )
    named = tuple(replace(holes[i], name=f"H{n}") for n, i in enumerate(order, 1))
    region = Region(turned.outer, tuple(h.contour for h in named))
    _is_a_plate(region)
    return Traced(region, errors.rings[0], named, errors, outline, solved, (turn, box.xmin, box.ymin), height, findings)


def _is_a_plate(region: Region) -> None:
    bad = worst(check_region(region))
    if bad:
        raise DrawingError(
            say("the edges found do not make a plate: they cross or leave nothing between them"),
            bad[0].where,
            say("look for dirt, tools or shadows at the card's edge and take the pictures again"),
        )


def _place_error(pieces: Sequence[PieceError]) -> float:
    if len(pieces) == 1:
        return pieces[0].centre_mm
    return float(np.mean([p.place_mm for p in pieces]))


def to_marks(traced: Traced, xy: np.ndarray) -> np.ndarray:
    """Return places of the plate's own frame, (n, 2) [mm], as places among the marks."""
    turn, x, y = traced.frame
    back = xy + np.array([x, y])
    c, s = np.cos(-turn), np.sin(-turn)
    return np.asarray(np.stack([c * back[:, 0] - s * back[:, 1], s * back[:, 0] + c * back[:, 1]], axis=1))


__all__ = ["TOLERANCE_MM", "HoleFound", "Traced", "Wanted", "to_marks", "trace"]
