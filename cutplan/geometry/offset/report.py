"""What an offset did to the contours of its input: vanished, split, merged and lost, told as findings."""

from __future__ import annotations

from cutplan.findings import Finding
from cutplan.geometry.contour import Contour
from cutplan.geometry.offset.raw import Source
from cutplan.geometry.offset.tidy import SHORT_MM

_Origin = tuple[tuple[tuple[Source, ...], ...], ...]


def report(
    contours: list[Contour], sources: list[list[tuple[Source, ...]]], distance_mm: float
) -> tuple[tuple[Contour, ...], tuple[Source, ...], _Origin, tuple[Finding, ...]]:
    """Compare the input's contours with the sources of the output's segments.

    Parameters
    ----------
    contours : list[Contour]
        Contours of the input.
    sources : list
        For each output region, for each contour, the source of each segment.
    distance_mm : float
        Distance of the offset [mm].

    Returns
    -------
    tuple
        Vanished contours, lost segments, origin and findings, as in ``OffsetResult``.
    """
    seen: set[tuple[int, int]] = set()
    children: dict[int, int] = {}
    merged: list[tuple[int, ...]] = []
    for region in sources:
        for chain in region:
            parents = sorted({s.contour for s in chain})
            for parent in parents:
                children[parent] = children.get(parent, 0) + 1
            if len(parents) > 1:
                merged.append(tuple(parents))
            for source in chain:
                seen.add((source.contour, source.segment))
                if source.corner:  # a rounded corner keeps the segment that ends there in play
                    seen.add((source.contour, (source.segment + 1) % len(contours[source.contour].segments)))
    findings: list[Finding] = []
    vanished: list[Contour] = []
    lost: list[Source] = []
    word = f"moving the edge by {distance_mm:+g} mm"
    for k, contour in enumerate(contours):
        if k not in children:
            vanished.append(contour)
            message = f"{word} leaves nothing of a contour"
            findings.append(Finding("offset-vanished", "warning", message, _where(contour)))
            continue
        if children[k] > 1:
            findings.append(
                Finding("offset-split", "warning", f"{word} splits a contour into {children[k]}", _where(contour))
            )
        gone = [i for i, s in enumerate(contour.segments) if (k, i) not in seen and s.length > SHORT_MM]
        lost.extend(Source(k, i) for i in gone)
        if gone:
            p = contour.segments[gone[0]].point_at(0.5)
            findings.append(
                Finding(
                    "offset-lost",
                    "warning",
                    f"{word} closes {len(gone)} of {len(contour.segments)} segments of a contour",
                    f"first at ({p.x:.3f}, {p.y:.3f}) mm",
                )
            )
    for joined in merged:
        where = "; ".join(_where(contours[k]) for k in joined)
        findings.append(Finding("offset-merged", "warning", f"{word} joins {len(joined)} contours into one", where))
    return tuple(vanished), tuple(lost), tuple(tuple(r) for r in sources), tuple(findings)


def _where(contour: Contour) -> str:
    round_ = contour.as_circle()
    if round_ is not None:
        centre, radius = round_
        return f"round, diameter {2.0 * radius:.3f} mm, centre ({centre.x:.3f}, {centre.y:.3f}) mm"
    b = contour.box
    return f"contour spanning {b.xmin:.3f}..{b.xmax:.3f} x {b.ymin:.3f}..{b.ymax:.3f} mm"
