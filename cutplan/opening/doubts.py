"""What the opening plan doubts about the job: sharp corners, unmeasured depth, ribs along a cut, small shapes."""

from __future__ import annotations

from collections.abc import Sequence

from cutplan.findings import Finding
from cutplan.geometry.contour import Contour
from cutplan.geometry.vector import Point
from cutplan.opening.cuts.layout import Layout
from cutplan.opening.cuts.ribs import not_seen
from cutplan.opening.cuts.toolset import Toolset
from cutplan.pattern.job import Job
from cutplan.tables.by_hand.drills_opening import EN1090_RADIUS_MM, corner_radius_mm
from cutplan.tables.by_hand.hand_tools import TOOLS, disc_reach_mm
from cutplan.texts import Message, every, mm, name, number, place, plural, say, size


def doubts(job: Job, line: Contour, layouts: Sequence[Layout], kit: Toolset) -> list[Finding]:
    """Return the findings about a job's opening."""
    return [
        *_tools(job, kit),
        *_corners(job, layouts),
        *_shape(job, line, layouts, kit),
        *_ribs(job),
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
    sharp = [d.centre for layout in layouts for d in layout.drills if d.square]
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
                "round the plate's corners to {radius} or more, which gives the opening {least} (from memory); EN 1090-2 "
                "asks {standard} at least (from memory)",
                radius=mm(plate, 1),
                least=mm(least, 1),
                standard=mm(EN1090_RADIUS_MM, None),
            ),
        )
    ]


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
