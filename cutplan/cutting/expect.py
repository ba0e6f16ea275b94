"""What to expect of the cut plate by ISO 9013: squareness, roughness and limit deviations, or "not covered"."""

from __future__ import annotations

from math import radians, tan

from cutplan.cutting.result import Expectation
from cutplan.cutting.words import OUTLINE
from cutplan.geometry.contour import Contour
from cutplan.pattern.job import Job
from cutplan.pattern.plate import Hole
from cutplan.tables.band import Band
from cutplan.tables.cutting import iso9013
from cutplan.tables.cutting.cut_process import PROCESSES, process_word
from cutplan.tables.cutting.cut_sources import source_text
from cutplan.texts import Message, every, mm, number, say, span, to, together


def expectations(job: Job, cut_holes: tuple[Hole, ...]) -> tuple[Expectation, ...]:
    """Return what ISO 9013 says about this plate: edge qualities, outer size and each size of cut hole.

    Parameters
    ----------
    job : Job
        Process and plate.
    cut_holes : tuple of Hole
        Holes that are cut.
    """
    process, thickness_mm = job.cutting.process, job.plate.thickness_mm
    if not iso9013.in_scope(process, thickness_mm):
        low, high = iso9013.SCOPE_MM.get(process, (0.0, 0.0))
        word = process_word(process)
        if high:
            why = say("it covers {process} from {scope}", process=word, scope=span(low, high, digits=None))
        else:
            why = say("it does not cover {process}", process=word)
        return (
            Expectation(
                "whole plate",
                say("whole plate"),
                None,
                None,
                "mm",
                False,
                say(
                    "ISO 9013 does not reach {process} on {thickness}: {why}.",
                    process=word,
                    thickness=mm(thickness_mm, None),
                    why=why,
                ),
                source_text("iso9013-scope"),
            ),
        )
    rows = [_squareness(process, thickness_mm), _roughness(process, thickness_mm)]
    rows.extend(_dimensions(process, thickness_mm, OUTLINE, job.plate.outline))
    sizes: dict[str, tuple[list[str], Contour]] = {}
    for hole in cut_holes:
        d = hole.diameter_mm
        key = f"{d:.3f}" if d is not None else hole.name
        sizes.setdefault(key, ([], hole.contour))[0].append(hole.name)
    for alike, contour in sizes.values():
        rows.extend(_dimensions(process, thickness_mm, _listed(alike), contour))
    return tuple(rows)


def _listed(holes: list[str]) -> Message:
    if len(holes) <= 4:
        return say("hole {names}", names=every(holes))
    return say("hole {names} ({count})", names=to(holes[0], holes[-1]), count=len(holes))


def _squareness(process: str, thickness_mm: float) -> Expectation:
    range_ = iso9013.USUAL_RANGES[process][0]
    limit = iso9013.squareness_mm(range_, thickness_mm)
    band = None
    lean = Message("")
    if process == "air plasma":
        low, mid, high = (thickness_mm * tan(radians(b)) for b in iso9013.PLASMA_BEVEL_DEG)
        least, _, most = iso9013.PLASMA_BEVEL_DEG
        source = say(
            "bevel of {bevel}: {source}",
            bevel=span(least, most, "deg", None),
            source=together(source_text("course-kerf"), source_text("jobshop"), sep=", "),
        )
        band = Band(low, mid, high, "mm", source)
        lean = say(
            "A bevel of {bevel}, as plasma gives, is {lean}.",
            bevel=span(least, most, "deg", None),
            lean=span(low, high, digits=2),
        )
    return Expectation(
        "squareness",
        say("squareness"),
        None,
        limit,
        "mm",
        True,
        together(
            say(
                "Range {range}, usual for {process}: the edge may lean up to {limit} over {thickness}.",
                range=range_,
                process=process_word(process),
                limit=mm(limit, 2),
                thickness=mm(thickness_mm, None),
            ),
            lean,
            say("It is not measured at starts, small radii and acute corners."),
        ),
        say("{limits}; range: {range}", limits=iso9013.citation(), range=source_text("iso9013-process")),
        band,
    )


def _roughness(process: str, thickness_mm: float) -> Expectation:
    range_ = iso9013.USUAL_RANGES[process][1]
    limit = iso9013.roughness_um(range_, thickness_mm)
    return Expectation(
        "roughness",
        say("roughness"),
        None,
        limit,
        "um",
        True,
        say(
            "Range {range}, usual for {process}: mean height of the profile Rz5 up to {limit}.",
            range=range_,
            process=process_word(process),
            limit=number(limit, "um", 0),
        ),
        say("{limits}; range: {range}", limits=iso9013.citation(), range=source_text("iso9013-process")),
    )


def _dimensions(process: str, thickness_mm: float, what: Message, contour: Contour) -> list[Expectation]:
    round_ = contour.as_circle()
    box = contour.box
    if round_ is not None:
        sizes = [(say("{what}, diameter", what=what), 2.0 * round_[1])]
    else:
        sizes = [(say("{what}, width", what=what), box.width), (say("{what}, height", what=what), box.height)]
    class_, why = iso9013.USUAL_CLASS[process], _beyond_reach(process, contour)
    return [_size(name, size_mm, thickness_mm, class_, why) for name, size_mm in sizes]


def _beyond_reach(process: str, contour: Contour) -> Message:
    """Why the standard's limits do not reach a contour; nothing where they do."""
    if not PROCESSES[process].wide_start:
        return Message("")
    short, long = sorted((contour.box.width, contour.box.height))
    if contour.length < iso9013.REACH_CONTOUR_MM:
        return say(
            "its contour of {length} is shorter than {least}",
            length=mm(contour.length, 0),
            least=mm(iso9013.REACH_CONTOUR_MM, None),
        )
    if long > iso9013.REACH_RATIO * short:
        return say("it is longer than {ratio} times its width", ratio=number(iso9013.REACH_RATIO))
    return Message("")


def _size(name: Message, size_mm: float, thickness_mm: float, class_: int, why: Message) -> Expectation:
    limit, source = iso9013.limit_deviation_mm(class_, thickness_mm, size_mm), iso9013.citation()
    if why:
        limit, source = None, source_text("iso9013-reach")
        text = say("{what} {size}: not covered, {why} (from memory).", what=name, size=mm(size_mm), why=why)
    elif limit is None:
        text = say(
            "{what} {size}: not covered by the rows known here for {thickness}.",
            what=name,
            size=mm(size_mm),
            thickness=mm(thickness_mm, None),
        )
    else:
        text = say(
            "{what} {size}: within {limit} either way (tolerance class {class_}).",
            what=name,
            size=mm(size_mm),
            limit=mm(limit, 2),
            class_=class_,
        )
    return Expectation("size", name, size_mm, limit, "mm", limit is not None, text, source)
