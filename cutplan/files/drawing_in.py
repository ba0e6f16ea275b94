"""A DXF or SVG file as exact plates in millimetres, with a finding for everything that was doubtful."""

from __future__ import annotations

import gc
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace
from os import PathLike
from pathlib import Path
from typing import Any, Literal

import numpy as np

from cutplan.errors import CutplanError, DrawingError, LimitError
from cutplan.files.dimension_check import dimension_findings
from cutplan.files.drawing_units import Units, decide_dxf, decide_svg, scaled
from cutplan.files.dxf.dimensions import Dimension
from cutplan.files.dxf.read import read_dxf
from cutplan.files.dxf.text import refuse_other_kinds
from cutplan.files.dxf.walk import IN_PAPER_SPACE
from cutplan.files.known_length import NAMES, Known, measured
from cutplan.files.limits import MAX_BYTES
from cutplan.files.outline.account import Account, Aside
from cutplan.files.outline.assembly import Assembly, assemble
from cutplan.files.outline.sheet import Frame, Sheet
from cutplan.files.reading_options import UNITS
from cutplan.files.repair import Repair, repair_of
from cutplan.files.traced import traced_findings
from cutplan.files.traces import Trace
from cutplan.findings import Finding, by_severity, errors
from cutplan.geometry.region import Region
from cutplan.texts import Message, code, every, number, say
from cutplan.texts import name as named
from cutplan.texts.command import pasted
from cutplan.tolerance import BRIDGE_MM

#: Share of the largest part's area from which another part may as well be the plate [-].
_RIVAL = 0.2


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a drawing: an exact region [mm] and the layers it was drawn on."""

    region: Region
    layer: str = ""

    def as_dict(self) -> dict[str, Any]:
        """Return the part as plain data for ``--json``."""
        box = self.region.box
        holes = []
        for hole in self.region.holes:
            circle = hole.as_circle()
            centre = circle[0] if circle else hole.centroid
            holes.append(
                {
                    "kind": "round" if circle else "other",
                    "diameter_mm": 2.0 * circle[1] if circle else None,
                    "centre_mm": [centre.x, centre.y],
                    "area_mm2": hole.area,
                }
            )
        return {
            "size_mm": [box.width, box.height],
            "outer_area_mm2": self.region.outer.area,
            "net_area_mm2": self.region.area,
            "holes": holes,
        }


@dataclass(frozen=True, slots=True)
class Drawing:
    """What a drawing holds: its unit, its parts (largest first), all findings, and counts of what was left aside."""

    file: str
    units: Units
    parts: tuple[Part, ...]
    findings: tuple[Finding, ...]
    left_aside: tuple[tuple[Message, int], ...] = ()
    account: Account = Account()
    asides: tuple[Aside, ...] = ()

    @property
    def sound(self) -> bool:
        """Whether nothing about the plate is in doubt: no finding is an error."""
        return not errors(self.findings)

    @property
    def rivals(self) -> tuple[Part, ...]:
        """The parts that are so large that the plate may be any of them; empty where the largest is surely meant."""
        if not self.parts:
            return ()
        least = _RIVAL * self.parts[0].region.outer.area
        found = tuple(p for p in self.parts if p.region.outer.area >= least)
        return found if len(found) > 1 else ()

    def as_dict(self) -> dict[str, Any]:
        """Return the object that ``cutplan read --json`` prints."""
        return {
            "file": self.file,
            "units": {
                "name": self.units.name or None,
                "mm_per_unit": self.units.mm_per_unit if self.units.name else None,
                "reason": str(self.units.reason),
                "firm": self.units.firm,
            },
            "parts": [p.as_dict() for p in self.parts],
            "findings": [f.as_dict() for f in self.findings],
            "account_mm": self.account.as_dict(),
        }


def refused(path: str | PathLike[str], error: CutplanError) -> Drawing:
    """Return a drawing that could not be read at all in the shape of one that could: no parts, and why."""
    kind = "beyond-limits" if isinstance(error, LimitError) else "not-read"
    finding = Finding(kind, "error", error.message, error.where, error.hint)
    units = Units("", 1.0, say("nothing was read"), firm=False)
    return Drawing(Path(path).name.encode("utf-8", "replace").decode(), units, (), (finding,))


def read_drawing(
    path: str | PathLike[str],
    *,
    units: Literal["mm", "in"] | None = None,
    repair: bool | Iterable[str] | Repair = False,
    layers: Iterable[str] | None = None,
    bridge_mm: float = BRIDGE_MM,
    length: Known | None = None,
    frame: Frame = None,
) -> Drawing:
    """Read a DXF (R12 to R2018, text or binary) or SVG file; its content, not its name, tells which.

    Parameters
    ----------
    path : path
        The file.
    units : {"mm", "in"}, optional
        The unit of the drawing's numbers, when the caller knows better than the file.
    repair : bool or iterable of str
        Mend what is doubtful instead of refusing it, all of it or the doubts named (``files.repair.doubt_key``); each
        mending is a finding.
    layers : iterable of str, optional
        Read only these layers (DXF layer names; SVG group labels or ids), hidden or not.
    bridge_mm : float
        Gaps between ends up to this size are closed, each with a finding [mm].
    length : Known, optional
        A length that somebody measured: the scale is taken from it.
    frame : {"plate", "border"}, optional
        What a rectangle around everything is, where the drawing leaves that open.

    Returns
    -------
    Drawing
        Parts in millimetres, largest first. A fault that leaves the plate in doubt is a finding of severity
        ``error``; the parts are then the best guess and must not be cut.

    Raises
    ------
    DrawingError
        If the file cannot be opened or is no drawing at all.
    LimitError
        If the file is larger or deeper than the stated limits.
    """
    name = Path(path).name.encode("utf-8", "replace").decode()
    collecting = gc.isenabled()
    gc.disable()  # millions of small values without cycles: looking for cycles would take half of the time
    try:
        with np.errstate(all="ignore"):  # values that overflow are judged by what comes of them
            data = _bytes(Path(path))
            drawing = _read(data, name, units, repair_of(repair), layers, bridge_mm, length, frame)
            traced = traced_findings(Path(path), data)
            return replace(drawing, findings=(*drawing.findings, *traced)) if traced else drawing
    except (DrawingError, LimitError) as fault:
        if isinstance(fault.where, Message) and fault.where:
            fault.where = say("{file}, {where}", file=named(name), where=fault.where)
        elif not fault.where:
            fault.where = name
        raise
    except RecursionError:
        raise LimitError(say("the drawing is nested too deeply"), name, say("export it again, flattened")) from None
    except MemoryError:
        raise LimitError(say("the drawing needs more memory than there is"), name, say("split it")) from None
    finally:
        if collecting:
            gc.enable()


def _bytes(path: Path) -> bytes:
    try:
        size = path.stat().st_size
        if path.is_dir():
            raise DrawingError(
                say("the path is a folder, not a drawing"), str(path), say("name the .dxf or .svg file in it")
            )
        if path.suffix.lower() == ".toml":
            check = code(f"cutplan check {pasted(str(path))}")
            raise DrawingError(
                say("this is a job file, not a drawing"), str(path), say("look at it: {check}", check=check)
            )
        if not path.is_file():
            raise DrawingError(say("the path is no ordinary file"), str(path), say("save the drawing to a file first"))
        if size > MAX_BYTES:
            raise LimitError(
                say(
                    "the file has {size} MiB; at most {max_bytes} MiB are read",
                    size=number(size / 2**20, digits=0),
                    max_bytes=MAX_BYTES // 2**20,
                ),
                path.name,
                say("keep only the layer of the plate"),
            )
        with path.open("rb") as stream:
            data = stream.read(MAX_BYTES + 1)
    except OSError as fault:
        raise DrawingError(
            say("the drawing cannot be opened ({why})", why=named(fault.strerror or "unreadable")),
            str(path),
            say("check the name"),
        ) from None
    except CutplanError:
        raise
    except ValueError:
        raise DrawingError(say("the file name is not one that can be opened"), hint=say("check the name")) from None
    if len(data) > MAX_BYTES:
        raise LimitError(
            say("more than {max_bytes} MiB", max_bytes=MAX_BYTES // 2**20),
            path.name,
            say("keep only the layer of the plate"),
        )
    return data


def _read(
    data: bytes,
    name: str,
    units: Literal["mm", "in"] | None,
    repair: Repair,
    layers: Iterable[str] | None,
    bridge_mm: float,
    length: Known | None,
    frame: Frame,
) -> Drawing:
    from cutplan.files.svg.read import looks_like_svg, read_svg

    _no_less_than_nought(bridge_mm)
    findings: list[Finding] = []
    says: list[Dimension] = []
    wanted = None if layers is None else frozenset(layer.strip().lower() for layer in layers)
    if looks_like_svg(data):
        svg = read_svg(data, wanted)
        traces, aside, others = svg.traces, svg.left_aside, list(svg.other_layers)
        sheet = Sheet(svg.text_places, frame, layers is not None, svg.paints, frozenset(svg.backs))
        findings += svg.findings
        decided = decide_svg(svg.scale, traces, units)
    else:
        refuse_other_kinds(data)
        dxf = read_dxf(data, wanted, repair)
        traces, aside, others = dxf.traces, dxf.left_aside, list(dxf.other_layers)
        sheet = Sheet(dxf.text_places, frame, layers is not None)
        says = dxf.dimensions
        findings += dxf.findings
        decided = decide_dxf(dxf.header, traces, units, dxf.unit_notes)

    def made_at(mm_per_unit: float) -> Assembly:
        return assemble(traces, mm_per_unit, repair=repair, bridge_mm=bridge_mm, sheet=sheet)

    made = made_at(decided.units.mm_per_unit)
    if length is not None:
        read = measured(length.name, [region for region, _ in made.regions])
        if read is None:
            findings.append(_not_measured(length))
        else:
            decided = scaled(decided, length.mm / read, length.said())
            made = made_at(decided.units.mm_per_unit)
    findings += dimension_findings(says, decided.units.mm_per_unit, stated=units is not None or length is not None)
    traces = [t for t in traces if not t.never]
    findings += (*(decided.findings if traces else ()), *made.findings)  # nothing drawn has no size to judge a unit by
    aside.update(made.left_aside)
    findings += _aside_finding(aside)
    if not made.regions:
        findings.append(_nothing(traces, aside, others))
    findings = [_taken(f, repair) for f in findings] if repair else findings
    parts = tuple(Part(region, layer) for region, layer in made.regions)
    return Drawing(
        name,
        decided.units,
        parts,
        by_severity(findings),
        tuple(sorted(aside.items(), key=_spoken)),
        made.account,
        tuple(made.asides),
    )


def _no_less_than_nought(bridge_mm: float) -> None:
    if not bridge_mm >= 0.0:
        why, hint = say("the bridging tolerance must not be negative"), say("give millimetres, such as 0.05")
        raise DrawingError(why, hint=hint)


def _not_measured(length: Known) -> Finding:
    return Finding(
        "length-not-there",
        "error",
        say("there is no {what} to measure", what=NAMES[length.name]),
        "",
        say("state another length, or the unit with {units}", units=UNITS),
    )


def _taken(finding: Finding, repair: Repair) -> Finding:
    """Return a fault of the file as the warning that it is when repair was asked for: what is there was taken."""
    if finding.severity != "error" or finding.code not in ("entity-unreadable", "file-cut-short"):
        return finding
    if not repair.takes(finding.code, finding.where):
        return finding
    return Finding(finding.code, "warning", finding.message, finding.where, say("left out by repair"), True)


def _aside_finding(aside: Counter[Message]) -> list[Finding]:
    counts = [
        say("{count} x {what}", count=count, what=what) for what, count in sorted(aside.items(), key=_spoken) if count
    ]
    if not counts:
        return []
    return [Finding("left-aside", "note", say("left aside, not part of the plate: {things}", things=every(counts)))]


def _spoken(entry: tuple[Message, int]) -> str:
    return str(entry[0])


def _nothing(traces: list[Trace], aside: Counter[Message], others: list[str]) -> Finding:
    """Return the error for a drawing without a closed outline."""
    if others and not traces:
        layers = every([*others[:12], "..."] if len(others) > 12 else others)
        return Finding(
            "no-outline",
            "error",
            say("nothing is drawn on the layers asked for"),
            "",
            say("the layers are: {layers}", layers=layers),
        )
    hint = say("draw the outline of the plate as closed lines and arcs")
    if traces:
        message = say("no closed outline was found among {count} drawn things", count=len(traces))
    elif IN_PAPER_SPACE in aside:
        message = say("all of it is drawn in paper space, on a layout that has a scale of its own")
        hint = say("copy the plate into model space at full size, and save it again")
    elif aside:
        message = say("the drawing holds nothing that a plate can be cut from")
    else:
        message = say("the drawing is empty")
    return Finding("no-outline", "error", message, "", hint)
