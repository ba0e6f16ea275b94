"""Holding tabs: the outline is cut in pieces that leave a bridge between them."""

from __future__ import annotations

from cutplan.cutting.path.along import stretch
from cutplan.cutting.path.leads import LeadFinder
from cutplan.cutting.path.starts import Keepout, Setting, gap_along, start_places
from cutplan.cutting.result import CutPath
from cutplan.findings import Finding
from cutplan.geometry.contour import Contour
from cutplan.geometry.segment import Line
from cutplan.tables.cutting.holes import TAB_MM
from cutplan.texts import mm, say


def with_tabs(
    edge: Contour, line: Contour, tabs: int, setting: Setting, keepouts: tuple[Keepout, ...]
) -> tuple[list[CutPath], tuple[Finding, ...]]:
    """Return the outline's cuts between tabs, in the direction of travel, and findings when fewer tabs fit.

    Parameters
    ----------
    edge, line : Contour
        Net outline and its torch line.
    tabs : int
        Tabs wanted, at least one.
    setting : Setting
        Process and kerf.
    keepouts : tuple of Keepout
        Pads and weld starts, where no tab should be.

    Returns
    -------
    (paths, findings)
        Each cut pierces in the waste and comes straight onto the line, so that the tab behind it stays whole; the
        torch lifts where the next tab begins.
    """
    line = line.oriented(ccw=setting.travel_ccw(inner=False))
    finder = LeadFinder(edge, setting.wishes())
    gap_mm = TAB_MM + setting.kerf_mm
    chosen: list[float] = []
    leads: dict[float, tuple[tuple[Line], float]] = {}
    share = line.length / tabs
    places = start_places(line, setting, keepouts)
    first = places[0][1] if places else 0.0
    for k in range(tabs):
        wanted = first + k * share
        # near the even share, but 20 mm farther for each step better in merit
        scored = sorted((gap_along(a, wanted % line.length, line.length) - 20.0 * merit, a) for merit, a in places)
        for _, along in scored:
            if any(gap_along(along, c, line.length) < 4.0 * gap_mm for c in chosen):
                continue
            at, direction = line.point_at_length(along)
            normal = direction.left().times(float(setting.side))
            segments = (Line(at.plus(normal.times(setting.wishes().lead_mm)), at),)
            clear = finder.check(segments)
            if clear is not None and clear >= setting.wishes().clear_mm - 1e-6:
                chosen.append(along)
                leads[along] = (segments, clear)
                break
    findings: tuple[Finding, ...] = ()
    if len(chosen) < tabs:
        findings = (
            Finding(
                "fewer-tabs",
                "warning",
                say("only {found} of {wanted} tabs find room on the outline", found=len(chosen), wanted=tabs),
                "cutting.tabs",
                say("ask for fewer tabs, or clamp the plate"),
            ),
        )
    chosen.sort()
    paths: list[CutPath] = []
    for k, along in enumerate(chosen):
        following = chosen[(k + 1) % len(chosen)]
        length = (following - along) % line.length or line.length
        segments, clear = leads[along]
        name = "outline" if len(chosen) == 1 else f"outline {k + 1} of {len(chosen)}"
        paths.append(
            CutPath(
                name,
                False,
                segments,
                stretch(line, along, length - gap_mm),
                (),
                "straight",
                1.0,
                clear,
                say("leaves a tab of {size}", size=mm(TAB_MM, None)),
                (k + 1, len(chosen)),
                setting.line_mm,
            )
        )
    return paths, findings
