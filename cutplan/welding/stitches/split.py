"""Split a joint into stitches: one over each corner and each rib, the rest shared evenly between them."""

from __future__ import annotations

from math import ceil

from cutplan.pattern.joint import Span
from cutplan.tables.welding.tack_rules import STITCH_SHEET_MM
from cutplan.welding.stitches.joint import WeldJoint
from cutplan.welding.stitches.spans import merged


def stitch_limits_mm(wanted_mm: float | None) -> tuple[float, float, float]:
    """Return (shortest, wanted, longest) stitch: the job's own +/- 40 %, else the sheet rule with its middle [mm]."""
    if wanted_mm is not None:
        return 0.6 * wanted_mm, wanted_mm, 1.4 * wanted_mm
    shortest, longest = STITCH_SHEET_MM
    return shortest, 0.5 * (shortest + longest), longest


def split_joint(joint: WeldJoint, wanted_mm: float | None = None) -> tuple[Span, ...]:
    """Return the stitches of a joint.

    Parameters
    ----------
    joint : WeldJoint
        Joint with spans and corners
    wanted_mm : float or None
        Stitch length wanted [mm]; None takes the sheet rule of 20 to 50 mm

    Returns
    -------
    tuple of Span
        Stitches by rising start along the outline; ends may lie beyond its length [mm]. Together they cover the spans
        once.
        No end lies in a corner or over a rib, except where an unwelded stretch begins there.
    """
    limits = stitch_limits_mm(wanted_mm)
    whole = merged(
        [(s.start_mm, s.end_mm) for s in (*joint.line.corners, *joint.line.crossings)], joint.line.outline_mm
    )
    if joint.line.closed:
        return _split_closed(joint.line.outline_mm, whole, limits)
    stitches: list[Span] = []
    for span in joint.line.spans:
        stitches += _split_open(span, _inside(span, whole, joint.line.outline_mm), limits)
    return tuple(sorted(stitches, key=lambda s: s.start_mm))


def _inside(span: Span, corners: tuple[Span, ...], length_mm: float) -> list[Span]:
    """Corners that overlap a span, in the span's own unwrapped lengths and clipped to it."""
    found = []
    for corner in corners:
        for turn in (-length_mm, 0.0, length_mm):
            a, b = max(corner.start_mm + turn, span.start_mm), min(corner.end_mm + turn, span.end_mm)
            if b - a > 1e-9:
                found.append(Span(a, b))
    return sorted(found, key=lambda s: s.start_mm)


def _over_corner(corner: Span, limits: tuple[float, float, float], room_before: float, room_after: float) -> Span:
    """The stitch over one corner, centred on it where there is room."""
    extra = max(0.0, limits[1] - (corner.end_mm - corner.start_mm))
    before, after = min(0.5 * extra, room_before), min(0.5 * extra, room_after)
    return Span(corner.start_mm - before, corner.end_mm + after)


def _even(start: float, end: float, limits: tuple[float, float, float], even_count: bool = False) -> list[Span]:
    """Equal stitches over a clear stretch; none where it is too short for one."""
    shortest, wanted, longest = limits
    room = end - start
    if room < shortest:
        return []
    count = max(round(room / wanted), ceil(room / longest - 1e-9), 1)
    if even_count and count % 2 and count > 1:
        count += 1 if room / (count + 1) >= shortest else -1
    step = room / count
    return [Span(start + i * step, start + (i + 1) * step) for i in range(count)]


def _split_closed(length: float, corners: tuple[Span, ...], limits: tuple[float, float, float]) -> tuple[Span, ...]:
    if not corners or corners[0].end_mm - corners[0].start_mm >= length - limits[0]:
        # no corner, or so small a part that all of it is corner
        return tuple(_even(0.0, length, limits, even_count=True)) or (Span(0.0, length),)
    first = corners[0].start_mm
    turned = [*corners, Span(first + length, corners[0].end_mm + length)]
    chain: list[Span] = []
    for i, corner in enumerate(corners):
        room_before = 0.5 * (corner.start_mm - (corners[i - 1].end_mm - (length if i == 0 else 0.0)))
        room_after = 0.5 * (turned[i + 1].start_mm - corner.end_mm)
        chain.append(_over_corner(corner, limits, room_before, room_after))
    return _filled([*chain, Span(chain[0].start_mm + length, chain[0].end_mm + length)], limits, length)


def _split_open(span: Span, corners: list[Span], limits: tuple[float, float, float]) -> list[Span]:
    if not corners:
        return _even(span.start_mm, span.end_mm, limits) or [span]
    chain: list[Span] = []
    for i, corner in enumerate(corners):
        edge = corners[i - 1].end_mm if i else None
        room_before = corner.start_mm - span.start_mm if edge is None else 0.5 * (corner.start_mm - edge)
        room_after = (
            span.end_mm - corner.end_mm if i + 1 == len(corners) else 0.5 * (corners[i + 1].start_mm - corner.end_mm)
        )
        chain.append(_over_corner(corner, limits, room_before, room_after))
    ends: list[Span] = []
    lead = _even(span.start_mm, chain[0].start_mm, limits)
    if lead:
        ends += lead
    else:
        chain[0] = Span(span.start_mm, chain[0].end_mm)
    tail = _even(chain[-1].end_mm, span.end_mm, limits)
    if not tail:
        chain[-1] = Span(chain[-1].start_mm, span.end_mm)
    return [*ends, *_filled(chain, limits, None), *tail]


def _filled(chain: list[Span], limits: tuple[float, float, float], length: float | None) -> tuple[Span, ...]:
    """Corner stitches with the stretches between them filled; a short remainder is shared by its two neighbours."""
    starts = [s.start_mm for s in chain]
    ends = [s.end_mm for s in chain]
    between: list[list[Span]] = []
    for i in range(len(chain) - 1):
        stretch = _even(ends[i], starts[i + 1], limits)
        between.append(stretch)
        if not stretch:
            ends[i] = starts[i + 1] = 0.5 * (ends[i] + starts[i + 1])
    if length is not None:
        # the last of a closed chain is the first, one turn on
        starts[0] = starts[-1] - length
    out: list[Span] = []
    for i in range(len(chain) - (1 if length is not None else 0)):
        out.append(Span(starts[i], ends[i]))
        if i < len(between):
            out += between[i]
    if length is not None:
        out = [Span(s.start_mm % length, s.start_mm % length + (s.end_mm - s.start_mm)) for s in out]
    return tuple(sorted(out, key=lambda s: s.start_mm))
