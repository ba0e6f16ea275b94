"""The drawing that a job names, as plain data for a screen: its unit with the reason, its parts, and every doubt."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, Literal

from cutplan.errors import CutplanError, JobError
from cutplan.files.drawing_in import Drawing
from cutplan.files.job.tables.plate import drawing_of, inside
from cutplan.files.known_length import parse_known
from cutplan.files.repair import MENDED, OPEN, doubt_key, places_in
from cutplan.findings import Finding, errors
from cutplan.project.desk import shapes
from cutplan.project.desk.live import problems, told
from cutplan.texts import ENGLISH, Reader, say
from cutplan.units import UnitName

#: Findings that make the unit a question.
_DOUBTFUL = ("units-asked", "units-from-numbers", "units-contradict-header", "units-questionable")
#: Finding that only a measured length settles.
_TO_SCALE = "drawn-to-scale"
_OTHER = {"mm": ("in", 25.4), "in": ("mm", 1.0 / 25.4)}
#: Most parts that are drawn on the screen.
_MOST_PARTS = 60
#: Most doubts that are offered one by one.
_MOST_DOUBTS = 100
#: Finding that asks what a rectangle around everything is.
_FRAME = "frame-or-plate"


def drawing_view(data: Mapping[str, Any], folder: Path, read: Reader = ENGLISH) -> dict[str, Any]:
    """Return what the drawing of a job holds, whether the job can be read or not.

    Parameters
    ----------
    data : mapping
        The parsed job file.
    folder : Path
        The job's folder; the drawing must lie in it.
    read : Reader
        Whose words are used.

    Returns
    -------
    dict
        ``name``; ``units`` with the reason, whether it is doubtful, what the other unit would make of the size, and the
        length that the job states; ``frame``, whether it is asked what a rectangle around everything is, and the
        answer; ``parts``; ``doubts``, each with its place, its repair and whether that is accepted; ``findings``, all
        else that was noticed, each with its places [mm]; ``repairs``, what the plate would be with every repair.
        ``problems`` when the drawing cannot be read at all; nothing but an empty name when there is none.
    """
    plate = data.get("plate")
    plate = plate if isinstance(plate, Mapping) else {}
    name = plate.get("drawing")
    if not isinstance(name, str):
        return {"name": ""}
    stated = plate.get("drawing_units")
    units: Literal["mm", "in"] | None = "mm" if stated == "mm" else "in" if stated == "in" else None
    path = inside(folder, name)
    known: dict[str, Any] = {"name": name, "problems": [], "repair": plate.get("repair") is True}
    try:
        if path is None:
            raise JobError(say("the drawing leads outside the job's folder"), name, say("put it beside the job file"))
        ask = _reader_of(path, units, plate, "in" if data.get("units") == "in" else "mm")
        drawing = ask(accepted := _accepted(plate))
        doubts = _doubts(drawing, ask, accepted, read)
    except CutplanError as error:
        known["problems"] = problems(error, read)
        return known
    known["units"] = {**_units(drawing, units, read), "length": str(plate.get("drawing_length") or "")}
    asked = any(f.code == _FRAME for f in drawing.findings)
    known["frame"] = {"asked": asked, "stated": str(plate.get("frame") or "")}
    known["parts"] = [_part(p) for p in drawing.parts[:_MOST_PARTS]]
    known["doubts"] = doubts
    keys = {d["key"] for d in doubts}
    known["findings"] = [placed(f, read) for f in drawing.findings if _key(f) not in keys]
    known["repairs"] = _repairs(drawing, ask, read)
    return known


def _accepted(plate: Mapping[str, Any]) -> bool | frozenset[str]:
    value = plate.get("repair")
    return frozenset(str(v) for v in value) if isinstance(value, list) else value is True


def _reader_of(
    path: Path, units: Literal["mm", "in"] | None, plate: Mapping[str, Any], unit: UnitName
) -> Callable[[bool | frozenset[str]], Drawing]:
    """Return a function that reads the drawing as the job says, with given repairs."""
    layers = plate.get("layers")
    wanted = tuple(str(x) for x in layers) if isinstance(layers, list) else None
    text, frame = plate.get("drawing_length"), plate.get("frame")
    length = parse_known(text, unit) if isinstance(text, str) and text else None
    border: Literal["plate", "border"] | None = "plate" if frame == "plate" else "border" if frame == "border" else None
    return lambda repair: drawing_of(path, units, repair, wanted, length, border)


def _doubts(
    drawing: Drawing, ask: Callable[[bool | frozenset[str]], Drawing], accepted: bool | frozenset[str], read: Reader
) -> list[dict[str, Any]]:
    """Every doubt that can be mended by itself: where, what its repair does, and whether that is accepted."""
    strict = ask(False) if accepted else drawing
    faults = {doubt_key(f.code, f.where): f for d in (strict, drawing) for f in _faults(d)}
    if not faults:
        return []
    tried = ask(frozenset(faults))
    still = {doubt_key(f.code, f.where) for f in (*errors(tried.findings), *_faults(tried))}
    out = []
    for key, fault in list(faults.items())[:_MOST_DOUBTS]:
        done = next((f for f in tried.findings if f.severity != "error" and _mends(f, fault)), None)
        out.append(
            {
                **placed(fault, read),
                "key": key,
                "accepted": accepted is True or (accepted is not False and key in accepted),
                "possible": key not in still and done is not None,
                "repair": "" if done is None else read(done.message),
                "how": "" if done is None else read(done.fix),
            }
        )
    return out


def _faults(drawing: Drawing) -> list[Finding]:
    """The findings of a reading that a repair can answer."""
    return [f for f in drawing.findings if f.code in OPEN or (f.severity == "error" and f.code in MENDED)]


def _mends(done: Finding, fault: Finding) -> bool:
    """Whether one finding tells of the mending of another."""
    return done.code in MENDED[fault.code] and doubt_key("", done.where) == doubt_key("", fault.where)


def _key(finding: Finding) -> str:
    """The doubt that a finding is, or is the mending of."""
    code = next((fault for fault, done in MENDED.items() if finding.code in done), finding.code)
    return doubt_key(code, finding.where)


def _units(drawing: Drawing, stated: str | None, read: Reader) -> dict[str, Any]:
    units = drawing.units
    name = "in" if abs(units.mm_per_unit - 25.4) < 1e-9 else "mm" if units.mm_per_unit == 1.0 else units.name
    other, factor = _OTHER.get(name, ("mm", 1.0 / units.mm_per_unit))
    return {
        "name": name,
        "reason": read(units.reason),
        "stated": stated or "",
        "doubtful": stated is None and any(f.code in _DOUBTFUL for f in drawing.findings),
        "to_scale": any(f.code == _TO_SCALE for f in drawing.findings),
        "other": other,
        "factor": factor,
    }


def _part(part: Any) -> dict[str, Any]:
    region = part.region
    return {
        "outline": shapes.segments(region.outer.segments),
        "box": shapes.box(region.box),
        "size_mm": [shapes.number(region.box.width), shapes.number(region.box.height)],
        "holes": [shapes.hole(h) for h in region.holes],
    }


def _repairs(drawing: Drawing, ask: Callable[[bool | frozenset[str]], Drawing], read: Reader) -> dict[str, Any] | None:
    """What the plate would be with every repair, and whether that is possible; None when nothing needs one."""
    if drawing.sound or not any(f.code in MENDED or f.code == "no-outline" for f in errors(drawing.findings)):
        return None
    mended = ask(True)
    before = {(f.code, str(f.message)) for f in drawing.findings}
    fresh = [f for f in mended.findings if (f.code, str(f.message)) not in before and f.severity != "note"]
    return {
        "possible": mended.sound or all(f.code == _FRAME for f in errors(mended.findings)),
        "list": [placed(f, read) for f in fresh],
        "parts": [_part(p) for p in mended.parts[:_MOST_PARTS]],
    }


def placed(finding: Finding, read: Reader = ENGLISH) -> dict[str, Any]:
    """Return a finding as plain data with the places [mm] that it speaks of."""
    return {**told(finding, read), "places": [[p.x_mm, p.y_mm] for p in places_in(finding.where)]}
