"""What the opening plan doubts about the job: sharp corners, unmeasured depth, ribs along a cut, small shapes."""

from __future__ import annotations

from collections.abc import Sequence

from cutplan.findings import Finding
from cutplan.geometry.contour import Contour
from cutplan.opening.cuts.layout import Layout
from cutplan.opening.cuts.pieces import Toolset
from cutplan.opening.cuts.ribs import not_seen
from cutplan.pattern.job import Job
from cutplan.tables.drills_opening import EN1090_RADIUS_MM, corner_radius_mm
from cutplan.tables.hand_tools import disc_reach_mm


def doubts(job: Job, line: Contour, layouts: Sequence[Layout], kit: Toolset) -> list[Finding]:
    """Return the findings about a job's opening."""
    out: list[Finding] = []
    if job.skin.box_depth_mm is None:
        out.append(
            Finding(
                "depth-behind-unknown",
                "warning",
                "the free depth behind the skin was not measured",
                "skin.box_depth",
                f"measure it through the first hole; until then no tool goes deeper than {kit.touch_mm:g} mm",
            )
        )
    if kit.main == "hand plasma" and (job.skin.ribs or job.skin.box_depth_mm is None):
        out.append(
            Finding(
                "plasma-cuts-behind",
                "warning",
                "a plasma jet has no depth stop: it cuts into ribs, pipes and cables behind",
                "opening.tool",
                "take a disc over ribs, or make sure of what is behind",
            )
        )
    if kit.main != job.opening.tool:
        out.append(
            Finding(
                "disc-too-small",
                "warning",
                f"a {job.opening.disc_diameter_mm:g} mm disc reaches "
                f"{disc_reach_mm(job.opening.disc_diameter_mm):.0f} mm and "
                f"cannot come through {job.skin.thickness_mm:g} mm skin",
                "opening.disc_diameter",
                f"the plan uses a {kit.main}",
            )
        )
    sharp = [d for layout in layouts for d in layout.drills if d.reason.startswith("limits")]
    if sharp:
        out.append(
            Finding(
                "sharp-corner",
                "warning",
                f"{len(sharp)} corner(s) of the opening are sharp; sharp corners crack",
                ", ".join(f"{d.centre.x:.0f}, {d.centre.y:.0f}" for d in sharp[:6]) + " mm",
                f"round the plate's corners to {corner_radius_mm(job.skin.thickness_mm):g} mm or more (from memory); "
                f"EN 1090-2 asks {EN1090_RADIUS_MM:g} mm at least (from memory)",
            )
        )
    undrilled = sum(1 for layout in layouts for e in layout.edges if e.kind == "edge" and not e.pieces)
    if undrilled:
        out.append(
            Finding(
                "holes-meet",
                "note",
                f"{undrilled} stretch(es) of the line lie between holes that meet",
                "opening",
                "file the rest out",
            )
        )
    if len(layouts) > 1:
        out.append(
            Finding(
                "necks",
                "warning",
                f"the waste falls into {len(layouts)} pieces: necks too narrow for two cuts",
                "opening",
                "file the necks out, or set a smaller allowance",
            )
        )
    if kit.main == "cut-off disc":
        cuts = [p for layout in layouts for e in layout.edges for p in e.pieces]
        if cuts and not any(p.tool == "cut-off disc" for p in cuts):
            out.append(
                Finding(
                    "opening-small-for-disc",
                    "warning",
                    f"no cut is long enough for a {kit.disc_mm:g} mm disc: its shortest slot is {kit.slot_mm:.0f} mm",
                    f"{line.box.width:.0f} x {line.box.height:.0f} mm",
                    f"the plan uses a {kit.second} throughout",
                )
            )
    for rib in job.skin.ribs:
        if not_seen(rib):
            out.append(
                Finding(
                    "rib-not-seen",
                    "warning",
                    f"rib {rib.name} is {rib.knowledge}"
                    + ("" if rib.depth_mm is not None else ", its depth not measured"),
                    f"skin.ribs {rib.name}",
                    "look through the window and write its depth down",
                )
            )
    over = [(s, w) for layout in layouts for s, w in _over(job, layout)]
    out += [
        Finding("section-over-limit", "warning", text, where, "allow a longer or heavier section")
        for text, where in over
    ]
    if job.brace is None and job.pads:
        out.append(
            Finding(
                "no-brace",
                "warning",
                "pads are named but no brace",
                "brace",
                "tack a square tube beside the mounting face, or bolt the real part on (common practice)",
            )
        )
    return out


def _over(job: Job, layout: Layout) -> list[tuple[str, str]]:
    from cutplan.opening.parting.split import piece_mass_kg, turned_poly

    out = []
    for s in layout.sections:
        x0, y0, x1, y1 = turned_poly(s, -layout.axis_rad).bounds
        long, mass = max(x1 - x0, y1 - y0), piece_mass_kg(s, layout.limits)
        longest, heaviest = job.opening.longest_section_mm, job.opening.heaviest_section_kg
        where = f"section at {s.centroid.x:.0f}, {s.centroid.y:.0f} mm"
        if long > longest * 1.001:
            out.append((f"a section is {long:.0f} mm long, above the limit of {longest:g} mm", where))
        if mass > heaviest * 1.001:
            out.append((f"a section weighs {mass:.2f} kg, above the limit of {heaviest:g} kg", where))
    return out
