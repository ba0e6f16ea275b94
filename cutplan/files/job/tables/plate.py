"""The ``[plate]`` table: outline from a drawing, typed or from a tape survey, and the holes with their purpose."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from cutplan.errors import CutplanError, DrawingError
from cutplan.files.job.declared.plate import MOST_HOLES
from cutplan.files.job.keys import Keys
from cutplan.files.job.problems import shortened
from cutplan.files.job.tables.outline import typed_hole, typed_outline
from cutplan.files.job.tables.survey import read_survey
from cutplan.files.job.tables.ways import refuse_foreign, way_of
from cutplan.files.known_length import Known, parse_known
from cutplan.files.outline.sheet import Frame
from cutplan.files.reading_options import error_in_job, finding_in_job
from cutplan.findings import Finding, errors
from cutplan.geometry.contour import Contour
from cutplan.geometry.region import Region
from cutplan.geometry.vector import Point
from cutplan.pattern.plate import LONGEST_SIDE_MM, Hole, Plate, Purpose
from cutplan.tables.steel import grade
from cutplan.texts import Message, code, every, listed, mm, say, size
from cutplan.texts import name as named
from cutplan.texts.command import pasted

if TYPE_CHECKING:
    from cutplan.files.drawing_in import Drawing
    from cutplan.texts.values import Listing

#: Round holes of at most this diameter with no stated purpose are taken for bolt holes (common practice) [mm].
BOLT_HOLE_UP_TO_MM = 26.0
#: Parts whose sizes are told.
_TOLD_PARTS = 6
#: Drawn holes whose diameters differ by no more than this are of one kind [mm].
SAME_DIAMETER_MM = 0.05


@dataclass(frozen=True, slots=True)
class PlateRead:
    """The plate (None when its outline could not be had), the drawing's name and what was noticed."""

    plate: Plate | None
    drawing: str
    findings: tuple[Finding, ...]


def read_plate(k: Keys, survey: Keys, folder: Path) -> PlateRead:
    """Return the plate of a job file; problems go to the report that ``k`` collects.

    Raises
    ------
    DrawingError
        When the drawing itself cannot be read as one exact plate.
    """
    surveyed = read_survey(survey) if survey.data else None
    sources = [key for key in ("drawing", "outline", "shape") if k.has(key)]
    if survey.has("outline"):
        sources.append("survey")
    shape: Region | None = None
    drawing = ""
    findings: list[Finding] = list(surveyed.findings) if surveyed else []
    if len(sources) != 1:
        k.wrong(
            "drawing",
            say("the outline is given twice: {ways}", ways=every([code(w) for w in sources]))
            if sources
            else say("no outline is given"),
            say(
                "give one of {ways}",
                ways=listed(
                    [code(w) for w in ('drawing = "plate.dxf"', "outline = [...]", 'shape = "rectangle"', "[survey]")]
                ),
            ),
        )
    elif sources[0] == "drawing":
        shape, drawing, found = _drawn(k, folder)
        findings.extend(found)
    elif sources[0] == "survey":
        shape = surveyed.region if surveyed else None
    else:
        outline = typed_outline(k, surveyed.points if surveyed else {})
        shape = Region(outline) if outline else None
    refuse_foreign(k, way_of(sources[0], k) if len(sources) == 1 else None)
    if shape is not None:
        _not_too_large(*((survey, "outline") if sources[0] == "survey" else (k, sources[0])), shape)
    thickness = k.take("thickness")
    steel = read_steel(k)
    quantity = k.take("quantity")
    holes = _holes(k, shape.holes if shape else (), surveyed.points if surveyed else {})
    k.close()
    plate = Plate(shape.outer, holes, thickness, steel, quantity) if shape else None
    return PlateRead(plate, drawing, tuple(findings))


def _not_too_large(k: Keys, key: str, shape: Region) -> None:
    """Report a plate that is longer than what follows from it can be planned in reasonable time."""
    longest = max(shape.box.width, shape.box.height)
    if longest > LONGEST_SIDE_MM:
        k.wrong(
            key,
            say("the plate is {long} long, more than {most}", long=mm(longest, 0), most=mm(LONGEST_SIDE_MM, 0)),
            say("look at the unit first: in the other one it would be {other} long; else split the plate",
                other=mm(longest / 25.4, 0)),
        )  # fmt: skip


def read_steel(k: Keys) -> str:
    """Return the steel name of a table, checked against the grades known."""
    name: str = k.take("steel")
    try:
        grade(name)
    except CutplanError as error:
        k.wrong("steel", error.message, error.hint)
    return name


def drawing_of(
    path: Path,
    units: Literal["mm", "in"] | None,
    repair: bool | frozenset[str],
    layers: tuple[str, ...] | None,
    length: Known | None = None,
    frame: Frame = None,
) -> Drawing:
    """Return a drawing; one whose file has not changed since is not read again.

    Parameters
    ----------
    path : Path
        The file.
    units : {"mm", "in"} or None
        The unit of its numbers, when the job states it.
    repair : bool or frozenset of str
        Whether what is doubtful is mended, or which doubts are.
    layers : tuple of str or None
        Read only these layers.
    length : Known or None
        A length that somebody measured, when the job states one.
    frame : {"plate", "border"} or None
        What a rectangle around everything is, when the job states it.

    Raises
    ------
    DrawingError, LimitError
        As :func:`cutplan.files.drawing_in.read_drawing`.
    """
    try:
        stat = path.stat()
    except (OSError, ValueError):
        return _unchanged.__wrapped__(path, 0, 0, units, repair, layers, length, frame)  # says why; never remembered
    return _unchanged(path, stat.st_mtime_ns, stat.st_size, units, repair, layers, length, frame)


@lru_cache(maxsize=8)
def _unchanged(
    path: Path,
    changed: int,
    size: int,
    units: Literal["mm", "in"] | None,
    repair: bool | frozenset[str],
    layers: tuple[str, ...] | None,
    length: Known | None,
    frame: Frame,
) -> Drawing:
    """Return a drawing whose advice names the keys of the job instead of the options of a command."""
    from cutplan.files.drawing_in import read_drawing

    try:
        read = read_drawing(path, units=units, repair=repair, layers=layers, length=length, frame=frame)
    except CutplanError as error:
        raise error_in_job(error) from None
    return replace(read, findings=tuple(map(finding_in_job, read.findings)))


def _drawn(k: Keys, folder: Path) -> tuple[Region | None, str, tuple[Finding, ...]]:
    name, units = k.take("drawing"), k.take("drawing_units")
    length = _known_length(k)
    frame, part, repair = k.take("frame"), k.take("part"), _repair(k)
    layers = k.take("layers")
    if layers is not None and not (isinstance(layers, list) and all(isinstance(x, str) for x in layers)):
        k.wrong("layers", say("is not a list of layer names"), say("write {this}", this=code('layers = ["outline"]')))
        layers = None
    path = inside(folder, name)
    if path is None:
        k.wrong(
            "drawing",
            say("{file} leads outside the job's folder", file=named(shortened(name))),
            say("put the drawing beside the job file"),
        )
        return None, name, ()
    read = drawing_of(path, units or None, repair, tuple(layers) if layers else None, length, frame or None)
    bad = errors(read.findings)
    if bad:
        first = bad[0]
        what = first.message
        if len(bad) > 1:
            what = say(
                "{what}; and {count} more, see {command}",
                what=first.message if isinstance(first.message, Message) else named(first.message),
                count=len(bad) - 1,
                command=code(f"cutplan read {pasted(str(path))}"),
            )
        where = first.where if isinstance(first.where, Message) else named(first.where)
        place = say("{file}, {where}", file=named(name), where=where) if first.where else name
        raise DrawingError(what, place, first.fix)
    if not read.units.firm:
        k.wrong(
            "drawing_units",
            say("is needed: the drawing does not state its unit ({why})", why=read.units.reason),
            say("write {this} after measuring one length, or {that}", this=code('drawing_units = "mm"'),
                that=code('drawing_length = "width=150 mm"')),
        )  # fmt: skip
    chosen = _which(k, read, part, name)
    if chosen is None:
        return None, name, read.findings
    return read.parts[part - 1].region, name, (*read.findings, *chosen)


def _which(k: Keys, read: Drawing, part: int, name: str) -> tuple[Finding, ...] | None:
    """Return the warning about which part of several is the plate; None where that is not told or not there."""
    if part > len(read.parts):
        k.wrong(
            "part",
            say("the drawing has {count} parts", count=len(read.parts)),
            say("number them from 1, largest first"),
        )
        return None
    if k.has("part") or len(read.parts) < 2:
        return ()
    if read.rivals:
        k.wrong(
            "part",
            say("is needed: the drawing has several parts of a plate's size, {sizes}", sizes=sizes_of(read)),
            say("write {this} for the largest, {that} for the next", this=code("part = 1"), that=code("part = 2")),
        )
        return None
    message = say("the drawing has {count} parts; the largest is used", count=len(read.parts))
    hint = say("choose another with {this}, counted from the largest", this=code("part = 2"))
    return (Finding("part-chosen", "warning", message, name, hint),)


def sizes_of(read: Drawing) -> Listing:
    """Return the sizes of the parts that may be the plate, the largest first."""
    boxes = [part.region.box for part in read.rivals[:_TOLD_PARTS]]
    told: list[Message] = [say("{n}: {size}", n=n, size=size(b.width, b.height)) for n, b in enumerate(boxes, 1)]
    more = len(read.rivals) - len(told)
    return every([*told, say("{more} more", more=more)] if more > 0 else told)


def _repair(k: Keys) -> bool | frozenset[str]:
    """Return whether everything is mended, or which doubts are, as the page and ``read`` name them."""
    value = k.raw("repair", False)
    if isinstance(value, list) and len(value) <= 500 and all(isinstance(v, str) for v in value):
        return frozenset(value)
    return k.flag("repair")


def _known_length(k: Keys) -> Known | None:
    """Return the length that the job states of its drawing, None where it states none."""
    text = k.take("drawing_length")
    if not text:
        return None
    try:
        return parse_known(text, k.unit)
    except CutplanError as error:
        k.wrong("drawing_length", error.message, error.hint)
        return None


def inside(folder: Path, name: str) -> Path | None:
    """Return the path of a file in a folder or below it, or None when it leads outside, through links too."""
    if not name or "\\" in name or Path(name).is_absolute():
        return None
    path = folder / name
    try:
        path.resolve().relative_to(folder.resolve())
    except (ValueError, OSError):
        return None
    return path


def _holes(k: Keys, drawn: tuple[Contour, ...], surveyed: dict[str, Point]) -> tuple[Hole, ...]:
    stated = [_StatedHole(entry) for entry in k.take("drawn_hole")]
    holes: list[Hole] = []
    ordered = sorted(drawn, key=lambda c: (round(c.centroid.y, 3), round(c.centroid.x, 3)))
    for i, contour in enumerate(ordered):
        plain = Hole(f"H{i + 1}", contour.oriented(ccw=False))
        match = next((s for s in stated if s.fits(plain)), None)
        holes.append(match.applied(plain) if match else _guessed(plain))
    for s in stated:
        if not s.used:
            s.k.wrong(
                "at" if s.at else "diameter",
                say("no hole of the drawing fits"),
                say("see {command} for the holes there are", command=code("cutplan read")),
            )
        s.k.close()
    for entry in k.take("hole"):
        purpose = _purpose(entry)
        name, bolt, cut, in_skin = (entry.take(key) for key in ("name", "bolt", "cut", "in_skin"))
        contours = typed_hole(entry, surveyed)
        for j, contour in enumerate(contours):
            label = f"H{len(holes) + 1}" if not name else (name if len(contours) == 1 else f"{name}{j + 1}")
            hole = Hole(label, contour.oriented(ccw=False), purpose or "access", bolt, cut, in_skin)
            holes.append(hole if purpose else _guessed(hole))
        entry.close()
    if len(holes) > MOST_HOLES:
        k.wrong(
            "hole",
            say("the plate has {count} holes, more than {most}", count=len(holes), most=MOST_HOLES),
            say("split the job"),
        )
        return ()
    doubled = sorted({h.name for h in holes if sum(o.name == h.name for o in holes) > 1}) if len(holes) < 500 else []
    for name in doubled:
        k.wrong("hole", say("two holes are named {hole}", hole=named(name)), say("give each its own name"))
    return tuple(holes)


def _purpose(k: Keys) -> Purpose | None:
    purpose: Purpose | None = k.take("purpose")
    return purpose


def _guessed(hole: Hole) -> Hole:
    """Round holes of bolt size are taken for bolt holes, all else for access holes."""
    d = hole.diameter_mm
    purpose: Purpose = "bolt" if d is not None and d <= BOLT_HOLE_UP_TO_MM else "access"
    return Hole(hole.name, hole.contour, purpose, hole.bolt, hole.cut, hole.in_skin)


class _StatedHole:
    """One ``[[plate.drawn_hole]]``: which drawn holes it speaks of (by diameter or place) and what they are for."""

    def __init__(self, k: Keys) -> None:
        self.k = k
        self.at: Point | None = k.take("at")
        self.diameter: float | None = k.take("diameter")
        if self.at is None and self.diameter is None:
            k.wrong(
                "diameter",
                say("is missing"),
                say("say which holes: {this} or {that}", this=code("diameter = 13"), that=code("at = [x, y]")),
            )
        self.purpose = _purpose(k)
        self.bolt, self.cut, self.in_skin = k.take("bolt"), k.take("cut"), k.take("in_skin")
        self.name: str = k.take("name")
        self.used = 0

    def fits(self, hole: Hole) -> bool:
        if self.diameter is not None and abs((hole.diameter_mm or -1.0) - self.diameter) > SAME_DIAMETER_MM:
            return False
        if self.at is not None and not hole.contour.contains(self.at):
            return False
        return self.at is not None or self.diameter is not None

    def applied(self, hole: Hole) -> Hole:
        self.used += 1
        name = hole.name if not self.name else (self.name if self.used == 1 else f"{self.name}.{self.used}")
        guessed = _guessed(hole)
        return Hole(name, hole.contour, self.purpose or guessed.purpose, self.bolt, self.cut, self.in_skin)
