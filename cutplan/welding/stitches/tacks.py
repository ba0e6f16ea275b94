"""Tacks: how long, how far apart, where along the joint, and in which order to make them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from cutplan.findings import Finding
from cutplan.pattern.joint import Span
from cutplan.tables.band import Band
from cutplan.tables.welding.tack_rules import SHORTEST_MM, SPACING_LIMITS_MM, tack_length_mm, tack_spacing_mm
from cutplan.tables.welding.weld_sources import source_text
from cutplan.texts import Message, mm, say, together
from cutplan.welding.stitches.joint import WeldJoint
from cutplan.welding.stitches.tack_places import spread
from cutplan.welding.words import shown


@dataclass(frozen=True, slots=True)
class TackPlan:
    """Where the tacks go.

    Parameters
    ----------
    length_mm : float
        Length of one tack [mm].
    spacing_mm : float
        Largest spacing aimed at, middle to middle [mm].
    tacks : tuple of Span
        Tacks by rising start along the outline [mm].
    sequence : tuple of int
        Indices into ``tacks`` in the order of making by rule: opposite pairs, then the widest untacked stretch.
    closing_mm : Band
        Closing of the gap ahead of the arc between two tacks [mm]; zero for a lap.
    rule : Message
        Rules and sources in words.
    findings : tuple of Finding
        Doubts.
    """

    length_mm: float
    spacing_mm: float
    tacks: tuple[Span, ...]
    sequence: tuple[int, ...]
    closing_mm: Band
    rule: Message
    findings: tuple[Finding, ...]


def gap_closing(shrink: Band, spacing_mm: float, stitch_mm: float) -> Band:
    r"""Return how much the gap closes ahead of the arc, between the last weld and the next tack [1]_.

    .. math:: c_{low} = S / 2, \qquad c_{mid} = S, \qquad c_{high} = S (1 + s / l)

    Parameters
    ----------
    shrink : Band
        Shrinkage across the weld of one pass [mm]
    spacing_mm : float
        Distance from tack to tack s [mm]
    stitch_mm : float
        Length of the stitch being welded l [mm]

    Returns
    -------
    Band
        Closing [mm]

    Notes
    -----
    With a tack that holds, the gap ahead runs from S at the arc to nothing at the tack (mean S / 2, most S). With a
    tack that gives way the plates turn about the cold end of the stitch like scissors: the high bound. GMAW on sheet
    closes rather than opens (TWI). The order model predicts the closing of the chosen order; tacks are placed by this.

    References
    ----------
    .. [1] Our own estimate from rigid-body and crack kinematics.
    """
    return Band(
        0.5 * shrink.low,
        shrink.mid,
        shrink.high * (1.0 + spacing_mm / stitch_mm),
        "mm",
        say("estimate of this program: S / 2, S and scissors about the last stitch"),
    )


def sequence_by_rule(middles_mm: tuple[float, ...], length_mm: float, closed: bool) -> tuple[int, ...]:
    """Return the order of tacks by rule: pairs that face each other, each pair as far as can be from those made.

    Parameters
    ----------
    middles_mm : tuple of float
        Middles of the tacks along the outline [mm]
    length_mm : float
        Length of the outline [mm]
    closed : bool
        Whether distances count round the outline; on an open line each is as far as can be from all made

    Returns
    -------
    tuple of int
        Indices in the order of making; ties go to the lower index.
    """
    if not middles_mm:
        return ()

    def apart(i: int, j: int) -> float:
        d = abs(middles_mm[i] - middles_mm[j])
        return min(d, length_mm - d) if closed else d

    order = [0]
    rest = list(range(1, len(middles_mm)))
    nearest = {i: apart(i, 0) for i in rest}
    while rest:
        facing = closed and len(order) % 2 == 1
        reach = {i: apart(i, order[-1]) for i in rest} if facing else nearest
        chosen = max(rest, key=lambda i: (round(reach[i], 6), -i))
        rest.remove(chosen)
        order.append(chosen)
        for i in rest:
            nearest[i] = min(nearest[i], apart(i, chosen))
    return tuple(order)


def plan_tacks(
    joint: WeldJoint,
    stitches: tuple[Span, ...],
    shrink: Band,
    length_mm: float | None = None,
    spacing_mm: float | None = None,
) -> TackPlan:
    """Return the tacks of a joint: each inside one stitch and off corners, evenly spread.

    Parameters
    ----------
    joint : WeldJoint
        Joint
    stitches : tuple of Span
        Its stitches [mm]
    shrink : Band
        Shrinkage across the weld of one pass [mm]
    length_mm, spacing_mm : float or None
        Length and spacing wanted [mm]; None takes the rules

    Returns
    -------
    TackPlan
        Tacks, their order by rule, and the predicted closing of the gap.
    """
    long = length_mm if length_mm is not None else tack_length_mm(joint.thick_mm)
    asked = spacing_mm if spacing_mm is not None else tack_spacing_mm(joint.thin_mm)
    stitch = sum(s.end_mm - s.start_mm for s in stitches) / max(len(stitches), 1)
    butt = joint.leg_mm == 0.0
    spacing = _reduced(asked, stitch, shrink, joint.gap_mm) if butt and spacing_mm is None else asked
    words = [_length_said(long, length_mm is not None), _spacing_said(asked, spacing_mm is not None)]
    if spacing < asked:
        words.append(
            say(
                "reduced to {spacing} because the gap would close ahead of the arc if a tack gave way",
                spacing=mm(spacing, None),
            )
        )
    closing = gap_closing(shrink, spacing, stitch) if butt else Band(0.0, 0.0, 0.0, "mm", say("a lap has no gap"))
    tacks = [tack for span in joint.line.spans for tack in spread(span, joint, stitches, long, spacing)]
    tacks.sort(key=lambda s: s.start_mm)
    middles = tuple(0.5 * (t.start_mm + t.end_mm) for t in tacks)
    return TackPlan(
        long,
        spacing,
        tuple(tacks),
        sequence_by_rule(middles, joint.line.outline_mm, joint.line.closed),
        closing,
        together(*words, sep="; "),
        tuple(_closing_found(joint.gap_mm, closing) if butt else ()),
    )


def _reduced(spacing_mm: float, stitch_mm: float, shrink: Band, gap_mm: float) -> float:
    """Spacing at which the gap stays open although a tack gives way, not under the rule's least [mm]."""
    least = SPACING_LIMITS_MM[0]
    while shrink.mid * (1.0 + spacing_mm / stitch_mm) > gap_mm and spacing_mm > least:
        spacing_mm = max(least, spacing_mm - 5.0)
    return spacing_mm


def _length_said(length_mm: float, given: bool) -> Message:
    if given:
        return say("length {length} from the job", length=mm(length_mm, None))
    return say(
        "length {length} (4 t of the thicker part, at least {least}: {source})",
        length=mm(length_mm, None),
        least=mm(SHORTEST_MM, None),
        source=source_text("en-1011-2-tack"),
    )


def _spacing_said(spacing_mm: float, given: bool) -> Message:
    if given:
        return say("spacing {spacing} from the job", spacing=mm(spacing_mm, None))
    return say(
        "spacing {spacing} (25 t of the thinner part within {least} and {most}: our default)",
        spacing=mm(spacing_mm, None),
        least=mm(SPACING_LIMITS_MM[0], None),
        most=mm(SPACING_LIMITS_MM[1], None),
    )


def _closing_found(gap_mm: float, closing: Band) -> Iterator[Finding]:
    """What is to be said of a butt's gap that closes ahead of the arc."""
    if closing.mid >= gap_mm:
        yield Finding(
            "gap-closes",
            "warning",
            say(
                "the gap of {gap} is predicted to close ahead of the arc: {closing}",
                gap=mm(gap_mm, None),
                closing=shown(closing),
            ),
            "joint.gap",
            say(
                "widen the gap to about {gap}, or keep wedges in it between tacks",
                gap=mm(gap_mm + closing.mid, 1),
            ),
        )
    elif closing.high > gap_mm:
        yield Finding(
            "gap-may-close",
            "note",
            say(
                "if a tack gives way the gap of {gap} may close ahead of the arc: {closing}",
                gap=mm(gap_mm, None),
                closing=shown(closing),
            ),
            "joint.gap",
            say("look at the gap before each stitch; open it with a thin disc where it has closed"),
        )
