"""What to expect of the cut plate by ISO 9013: squareness, roughness and limit deviations, or "not covered"."""

from __future__ import annotations

from math import radians, tan

from cutplan.cutting.result import Expectation
from cutplan.geometry.contour import Contour
from cutplan.pattern.job import Job
from cutplan.pattern.plate import Hole
from cutplan.tables import iso9013
from cutplan.tables.band import Band
from cutplan.tables.cut_sources import source_text


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
        why = f"it covers {process} from {low:g} to {high:g} mm" if high else f"it does not cover {process}"
        return (
            Expectation(
                "whole plate",
                None,
                None,
                "mm",
                False,
                f"ISO 9013 does not reach {process} on {thickness_mm:g} mm: {why}.",
                source_text("iso9013-scope"),
            ),
        )
    rows = [_squareness(process, thickness_mm), _roughness(process, thickness_mm)]
    rows.extend(_dimensions(process, thickness_mm, "outline", job.plate.outline))
    sizes: dict[str, tuple[list[str], Contour]] = {}
    for hole in cut_holes:
        d = hole.diameter_mm
        key = f"{d:.3f}" if d is not None else hole.name
        sizes.setdefault(key, ([], hole.contour))[0].append(hole.name)
    for names, contour in sizes.values():
        rows.extend(_dimensions(process, thickness_mm, "hole " + _listed(names), contour))
    return tuple(rows)


def _listed(names: list[str]) -> str:
    return ", ".join(names) if len(names) <= 4 else f"{names[0]} to {names[-1]} ({len(names)})"


def _squareness(process: str, thickness_mm: float) -> Expectation:
    range_ = iso9013.USUAL_RANGES[process][0]
    limit = iso9013.squareness_mm(range_, thickness_mm)
    band = None
    lean = ""
    if process == "air plasma":
        low, mid, high = (thickness_mm * tan(radians(b)) for b in iso9013.PLASMA_BEVEL_DEG)
        least, _, most = iso9013.PLASMA_BEVEL_DEG
        source = f"{source_text('course-kerf')}, {source_text('jobshop')}"
        band = Band(low, mid, high, "mm", f"bevel of {least:g} to {most:g} deg: {source}")
        lean = f"; a bevel of {least:g} to {most:g} deg, as plasma gives, is {low:.2f} to {high:.2f} mm"
    return Expectation(
        "squareness",
        None,
        limit,
        "mm",
        True,
        f"Range {range_}, usual for {process}: the edge may lean up to {limit:.2f} mm over {thickness_mm:g} mm{lean}. "
        "It is not measured at starts, small radii and acute corners.",
        f"{iso9013.citation()}; range: {source_text('iso9013-process')}",
        band,
    )


def _roughness(process: str, thickness_mm: float) -> Expectation:
    range_ = iso9013.USUAL_RANGES[process][1]
    limit = iso9013.roughness_um(range_, thickness_mm)
    return Expectation(
        "roughness",
        None,
        limit,
        "um",
        True,
        f"Range {range_}, usual for {process}: mean height of the profile Rz5 up to {limit:.0f} um.",
        f"{iso9013.citation()}; range: {source_text('iso9013-process')}",
    )


def _dimensions(process: str, thickness_mm: float, what: str, contour: Contour) -> list[Expectation]:
    round_ = contour.as_circle()
    box = contour.box
    if round_ is not None:
        sizes = [(f"{what}, diameter", 2.0 * round_[1])]
    else:
        sizes = [(f"{what}, width", box.width), (f"{what}, height", box.height)]
    class_ = iso9013.USUAL_CLASS[process]
    why = ""
    if process in ("air plasma", "oxyfuel"):
        short, long = sorted((box.width, box.height))
        if contour.length < iso9013.REACH_CONTOUR_MM:
            why = f"its contour of {contour.length:.0f} mm is shorter than {iso9013.REACH_CONTOUR_MM:g} mm"
        elif long > iso9013.REACH_RATIO * short:
            why = f"it is longer than {iso9013.REACH_RATIO:g} times its width"
    rows: list[Expectation] = []
    for name, size in sizes:
        limit = iso9013.limit_deviation_mm(class_, thickness_mm, size)
        if why:
            rows.append(
                Expectation(
                    name,
                    size,
                    None,
                    "mm",
                    False,
                    f"{name} {size:.1f} mm: not covered, {why} (from memory).",
                    source_text("iso9013-reach"),
                )
            )
        elif limit is None:
            rows.append(
                Expectation(
                    name,
                    size,
                    None,
                    "mm",
                    False,
                    f"{name} {size:.1f} mm: not covered by the rows known here for {thickness_mm:g} mm.",
                    iso9013.citation(),
                )
            )
        else:
            rows.append(
                Expectation(
                    name,
                    size,
                    limit,
                    "mm",
                    True,
                    f"{name} {size:.1f} mm: within {limit:.2f} mm either way (tolerance class {class_}).",
                    iso9013.citation(),
                )
            )
    return rows
