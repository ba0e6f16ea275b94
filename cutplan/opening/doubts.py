"""What the opening plan doubts about the job: sharp corners, unmeasured depth, ribs along a cut, small shapes."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import ceil

from cutplan.findings import Finding
from cutplan.geometry.contour import Contour
from cutplan.geometry.vector import Point
from cutplan.opening.cuts.layout import Layout
from cutplan.opening.cuts.ribs import not_seen
from cutplan.opening.cuts.toolset import Toolset
from cutplan.opening.datum import marks_under_plate
from cutplan.opening.model import DatumPlan
from cutplan.pattern.job import Job
from cutplan.tables.by_hand.drills_opening import EN1090_RADIUS_MM, corner_radius_mm
from cutplan.tables.by_hand.hand_tools import TOOLS, disc_reach_mm
from cutplan.texts import Message, every, mm, name, number, place, plural, say, size

#: A rib so near to the line lies under the cut or in the weld's heat [mm]. Common practice: flange of a pressed rib.
BESIDE_RIB_MM = 10.0
#: A rib runs along the line where it does so for this length [mm], looked at every so far [mm]. Our own.
_ALONG_MM, _LOOK_MM = 30.0, 2.0


def doubts(job: Job, line: Contour, layouts: Sequence[Layout], kit: Toolset) -> list[Finding]:
    """Return the findings about a job's opening."""
    return [
        *_tools(job, kit),
        *_corners(job, layouts),
        *_shape(job, line, layouts, kit),
        *_ribs(job),
        *_ribs_along(job, line),
        *(f for layout in layouts for f in _over(job, layout)),
    ]


def _tools(job: Job, kit: Toolset) -> list[Finding]:
    """What the tools and the depth behind the skin leave open."""
    out: list[Finding] = []
    if job.skin.box_depth_mm is None:
        out.append(
            Finding(
                "depth-behind-unknown",
                "warning",
                say("the free depth behind the skin was not measured"),
                "skin.box_depth",
                say(
                    "measure it through the first hole; until then no tool goes deeper than {depth}",
                    depth=mm(kit.touch_mm, None),
                ),
            )
        )
    if kit.main == "hand plasma" and (job.skin.ribs or job.skin.box_depth_mm is None):
        out.append(
            Finding(
                "plasma-cuts-behind",
                "warning",
                say("a plasma jet has no depth stop: it cuts into ribs, pipes and cables behind"),
                "opening.tool",
                say("take a disc over ribs, or make sure of what is behind"),
            )
        )
    if kit.main != job.opening.tool:
        disc = job.opening.disc_diameter_mm
        out.append(
            Finding(
                "disc-too-small",
                "warning",
                say(
                    "a disc of {disc} reaches {reach} and cannot come through {skin} of skin",
                    disc=mm(disc, None),
                    reach=mm(disc_reach_mm(disc), 0),
                    skin=mm(job.skin.thickness_mm, None),
                ),
                "opening.disc_diameter",
                say("the plan uses another tool: {tool}", tool=TOOLS[kit.main].said),
            )
        )
    return out


def _corners(job: Job, layouts: Sequence[Layout]) -> list[Finding]:
    """Sharp corners, and what to do about them by the kind of joint."""
    drills = [d for layout in layouts for d in layout.drills if d.square]
    if job.joint.kind == "lap":
        # a lapped plate covers the corner: it stays as round as it was drilled
        drills = [d for d in drills if d.diameter_mm < 2.0 * EN1090_RADIUS_MM]
    sharp = [d.centre for d in drills]
    if not sharp:
        return []
    least = corner_radius_mm(job.skin.thickness_mm)
    # a lapped plate's outline lies outside the opening: an overlap inside a corner takes its radius off
    plate = least if job.joint.kind == "butt" else least + job.joint.overlap_mm
    return [
        Finding(
            "sharp-corner",
            "warning",
            plural(
                "1 corner of the opening is sharp; sharp corners crack",
                "{count} corners of the opening are sharp; sharp corners crack",
                len(sharp),
            ),
            _places(sharp),
            say(
                "round the plate's corners to {radius} or more, which gives the opening {least}; EN 1090-2 asks "
                "{standard} at least ({source})",
                radius=mm(plate, 1),
                least=mm(least, 1),
                standard=mm(EN1090_RADIUS_MM, None),
                source=say("both from memory"),
            ),
        )
    ]


def mark_doubts(job: Job, datum: DatumPlan) -> list[Finding]:
    """Return a warning where the lapped plate covers the punch marks that are to be measured after it is on.

    Parameters
    ----------
    job : Job
        For plate and joint.
    datum : DatumPlan
        With the marks.
    """
    under = marks_under_plate(job, datum)
    if not under:
        return []
    words = say(
        "the lapped plate covers the punch marks {names}: no room beside it", names=every(name(n) for n in under)
    )
    fix = say("measure how far the skin reaches to its bends; else measure from fixed points of your own, farther out")
    return [Finding("marks-under-plate", "warning", words, "skin.walls", fix)]


def _places(spots: Sequence[Point]) -> Message:
    return say("{all}", all=every([place(p.x, p.y, 0) for p in spots[:6]]))


def _shape(job: Job, line: Contour, layouts: Sequence[Layout], kit: Toolset) -> list[Finding]:
    """What the shape of the opening makes difficult."""
    out: list[Finding] = []
    undrilled = sum(1 for layout in layouts for e in layout.edges if e.kind == "edge" and not e.pieces)
    if undrilled:
        out.append(
            Finding(
                "holes-meet",
                "note",
                plural(
                    "1 stretch of the line lies between holes that meet",
                    "{count} stretches of the line lie between holes that meet",
                    undrilled,
                ),
                say("opening"),
                say("file the rest out"),
            )
        )
    if len(layouts) > 1:
        out.append(
            Finding(
                "necks",
                "warning",
                say("the waste falls into {count} pieces: necks too narrow for two cuts", count=len(layouts)),
                say("opening"),
                say("file the necks out, or set a smaller allowance"),
            )
        )
    cuts = [p for layout in layouts for e in layout.edges for p in e.pieces]
    if kit.main == "cut-off disc" and cuts and not any(p.tool == "cut-off disc" for p in cuts):
        out.append(
            Finding(
                "opening-small-for-disc",
                "warning",
                say(
                    "no cut is long enough for a disc of {disc}: its shortest slot is {slot}",
                    disc=mm(kit.disc_mm, None),
                    slot=mm(kit.slot_mm, 0),
                ),
                say("{all}", all=size(line.box.width, line.box.height, digits=0)),
                say("the plan uses another tool: {tool}", tool=TOOLS[kit.second].said),
            )
        )
    return out


def _ribs(job: Job) -> list[Finding]:
    out = []
    for rib in (r for r in job.skin.ribs if not_seen(r)):
        if rib.depth_mm is None and rib.knowledge == "known":
            words = say("the depth of rib {rib} was not measured", rib=name(rib.name))
        elif rib.knowledge == "suspected":
            words = say("rib {rib} is only suspected", rib=name(rib.name))
        else:
            words = say("rib {rib} is unknown", rib=name(rib.name))
        out.append(
            Finding(
                "rib-not-seen",
                "warning",
                words,
                say("skin.ribs {rib}", rib=name(rib.name)),
                say("look behind the skin before the first cut and write its depth down"),
            )
        )
    return out


def _ribs_along(job: Job, line: Contour) -> list[Finding]:
    """Ribs that run beside or under the line of the opening for a while, instead of crossing it."""
    out = []
    for rib in job.skin.ribs:
        length = sum(_along(a, b, line) for a, b in pairwise(rib.path))
        if length < _ALONG_MM:
            continue
        out.append(
            Finding(
                "rib-along-line",
                "warning",
                say(
                    "rib {rib} runs along the line of the opening for {length}, less than {near} beside it",
                    rib=name(rib.name),
                    length=mm(length, 0),
                    near=mm(BESIDE_RIB_MM, None),
                ),
                say("skin.ribs {rib}", rib=name(rib.name)),
                say(
                    "move the line off the rib, or make sure that cut and weld may touch it: there the tool only goes through "
                    "the skin, and the weld sits on what joins rib and skin"
                ),
            )
        )
    return out


def _along(a: Point, b: Point, line: Contour) -> float:
    """Length of a straight piece of rib that lies beside the line and in its direction [mm]."""
    length = a.distance(b)
    if length < 1e-9:
        return 0.0
    count = max(1, ceil(length / _LOOK_MM))
    u = b.minus(a).times(1.0 / length)
    found = 0
    for k in range(count):
        p = a.plus(u.times((k + 0.5) * length / count))
        near = min(line.segments, key=lambda s: s.nearest(p)[1])
        t, gap = near.nearest(p)
        found += gap < BESIDE_RIB_MM and abs(near.direction_at(t).cross(u)) < 0.5
    return found * length / count


def _over(job: Job, layout: Layout) -> list[Finding]:
    from cutplan.opening.parting.split import piece_mass_kg, turned_poly

    out = []
    for s in layout.sections:
        x0, y0, x1, y1 = turned_poly(s, -layout.axis_rad).bounds
        long, mass = max(x1 - x0, y1 - y0), piece_mass_kg(s, layout.limits)
        longest, heaviest = job.opening.longest_section_mm, job.opening.heaviest_section_kg
        where = say("section at {at}", at=place(s.centroid.x, s.centroid.y, 0))
        fix = say("allow a longer or heavier section")
        if long > longest * 1.001:
            words = say(
                "a section is {long} long, above the limit of {limit}", long=mm(long, 0), limit=mm(longest, None)
            )
            out.append(Finding("section-over-limit", "warning", words, where, fix))
        if mass > heaviest * 1.001:
            words = say(
                "a section weighs {mass}, above the limit of {limit}",
                mass=number(mass, "kg", 2),
                limit=number(heaviest, "kg"),
            )
            out.append(Finding("section-over-limit", "warning", words, where, fix))
    return out
