"""The weld plan: one job in, everything that the welder needs out."""

from __future__ import annotations

from dataclasses import replace
from math import degrees, pi, sqrt

from cutplan.errors import CutplanError, JobError
from cutplan.findings import Finding
from cutplan.pattern.job import Job
from cutplan.pattern.joint import Span
from cutplan.pattern.shop import Shop
from cutplan.tables.band import Band
from cutplan.tables.steel import Grade, grade
from cutplan.texts import Message, code, every, inch_or_mm, mm, number, say, together
from cutplan.welding.heat.reach import plan_reach
from cutplan.welding.heat.timing import Turn, heat_room, hot_beads, order_starts
from cutplan.welding.heat.wait import Start
from cutplan.welding.heat.warmth import cooling_band, keep_away
from cutplan.welding.order import (
    RULE_NAME,
    Ordered,
    Progress,
    closer_spacing_mm,
    order_beads,
    shape_after,
)
from cutplan.welding.order_words import brace_figure, choices, order_name
from cutplan.welding.result import BeadKind, OrderFigure, PlacedBead, WeldPlan
from cutplan.welding.settings.consumption import consumption, runs_and_section
from cutplan.welding.settings.machine import Settings, settings_for
from cutplan.welding.shrinkage.buckling import buckling
from cutplan.welding.shrinkage.free_bead import FreeBead, free_bead
from cutplan.welding.shrinkage.restraint import insert_restraint
from cutplan.welding.stitches.along import backward, piece, place
from cutplan.welding.stitches.joint import WeldJoint, weld_joint
from cutplan.welding.stitches.position import position_of
from cutplan.welding.stitches.split import split_joint
from cutplan.welding.stitches.tacks import plan_tacks
from cutplan.welding.words import as_value, shown

#: Above this the plate's own temperature is worth a note [degC]: the lowest of the heat limits.
INSERT_WARM_C = 80.0


def plan_weld(job: Job, shop: Shop | None = None, progress: Progress | None = None) -> WeldPlan:
    """Return how a plate is welded in.

    Parameters
    ----------
    job : Job
        The job
    shop : Shop or None
        The shop's measurements; a weld trial at this process and thickness narrows the bands
    progress : callable or None
        Called with (done, total) while orders are compared

    Returns
    -------
    WeldPlan
        Settings, heat, tacks, stitches, waits, orders and cautions. Leaving a range is a finding.

    Raises
    ------
    JobError
        When no edge is left to weld.
    """
    thin = min(job.plate.thickness_mm, job.skin.thickness_mm)
    settings = settings_for(job.joint.kind, thin, job.welding)
    joint = weld_joint(job, settings)
    if not joint.spans:
        raise JobError(say("no edge is left to weld"), "joint.unwelded", say("leave at least one stretch welded"))
    plate_steel, skin_steel, findings = _steels(job)
    findings += [*settings.findings, *joint.findings]

    walls = job.skin.walls
    box = job.plate.outline.box
    nearest_wall = min(walls.left_mm, walls.right_mm, walls.bottom_mm, walls.top_mm)
    beside = 0.5 * min(box.width, box.height) * job.plate.thickness_mm + nearest_wall * job.skin.thickness_mm
    runs, laid = runs_and_section(joint, settings)
    weaker = min(plate_steel.yield_N_per_mm2, skin_steel.yield_N_per_mm2)
    measured = (shop or Shop()).weld(job.welding.process, thin)
    bead = free_bead(joint, settings, beside, weaker, measured, runs)
    if bead.tendon.capped:
        findings.append(
            Finding(
                "section-yields",
                "note",
                say(
                    "the pull of a bead would bring {wanted} of metal to yield and {beside} lie beside it: "
                    "held at half their yield force",
                    wanted=number(bead.tendon.yielded_mm2, "mm2", 0),
                    beside=number(beside, "mm2", 0),
                ),
                "skin.walls",
            )
        )

    stitches = split_joint(joint, job.welding.stitch_mm)
    tacks = plan_tacks(joint, stitches, bead.shrink_mm, job.welding.tack_mm, job.welding.tack_spacing_mm)

    def minutes(spans: tuple[Span, ...], turns: tuple[Turn, ...]) -> float:
        return _starts(job, joint, settings, spans, turns, runs)[-1].end_s / 60.0

    ordered = order_beads(job, joint, tacks, stitches, bead, progress, minutes)
    closer = closer_spacing_mm(joint, tacks, ordered, job.welding.tack_spacing_mm)
    if closer is not None:
        tacks = plan_tacks(joint, stitches, bead.shrink_mm, job.welding.tack_mm, closer)
        closer_words = say("closer because the order model saw the gap close")
        tacks = replace(tacks, rule=together(tacks.rule, closer_words, sep="; "))
        ordered = order_beads(job, joint, tacks, stitches, bead, progress, minutes)
    # the comparison says itself whether the gap closes
    findings += [*(tacks.findings if ordered.plan is None else ()), *ordered.findings]
    shape = shape_after(ordered.plan)
    if shape is not None and shape.largest_mm > thin:
        findings.append(
            Finding(
                "beyond-small-deflection",
                "warning",
                say(
                    "the order model lifts a sheet by {lift}, more than the thinner part's {thin}: "
                    "it is made for small deflections and overstates larger ones",
                    lift=mm(shape.largest_mm, 1),
                    thin=inch_or_mm(thin, None),
                ),
                "",
                say(
                    "take the ranking of orders from it, not the height; "
                    "expect the sheet to dish and plan to straighten"
                ),
            )
        )
    starts = _starts(job, joint, settings, ordered.spans, ordered.turns, runs)
    if not all(s.reached for s in starts):
        findings.append(
            Finding(
                "interpass-not-reached",
                "warning",
                say(
                    "{limit} is not reached within half an hour at some bead",
                    limit=number(job.welding.interpass_C, "degC"),
                ),
                "welding.interpass",
                say("allow a higher interpass temperature or blow the part cool from behind"),
            )
        )
    room = heat_room(job, joint)
    hot = hot_beads(job.plate.outline, ordered.spans, ordered.turns, settings, runs)
    reach = plan_reach(hot, starts, job.plate.outline, room, job.welding.ambient_C)
    if reach.insert_C.high > INSERT_WARM_C:
        findings.append(
            Finding(
                "insert-gets-hot",
                "note",
                say(
                    "the middle of the plate gets to about {hot} in the course of welding",
                    hot=shown(reach.insert_C, 0),
                ),
                "plate",
                say("take rubber, plastic, cables and fluids off the plate whatever their distance from the weld"),
            )
        )
    placed = _placed(job, ordered, starts)
    findings += _position_note(job, placed)
    orders = _orders(ordered)

    if joint.plugs:
        findings.append(_plug_note(job, joint))

    buckle = buckling(
        bead.tendon.force_N.mid,
        job.skin.thickness_mm,
        max(walls.left_mm, walls.right_mm, walls.bottom_mm, walls.top_mm),
    )
    if buckle.flagged:
        findings.append(
            Finding("may-buckle", "warning", buckle.statement, "skin.walls", say("a flag, not a prediction"))
        )
    restraint = insert_restraint(bead.shrink_mm.mid, sqrt(job.plate.outline.area / pi), weaker)
    if restraint.at_yield and joint.closed and not any(f.code == "weld-at-yield" for f in findings):
        findings.append(Finding("weld-at-yield", "note", restraint.statement, "plate.outline"))

    used = consumption(joint, settings, placed, runs, laid)
    heat = settings.heat_input_J_per_mm
    time, regime = cooling_band(job, joint, heat)
    return WeldPlan(
        joint=joint,
        length_mm=joint.length_mm,
        settings=settings,
        runs=runs,
        metal_kg=used.metal_kg,
        laid_mm2=runs * laid,
        wire_kg=used.wire_kg,
        gas_l=used.gas_l,
        arc_time_s=used.arc_time_s,
        total_time_s=starts[-1].end_s,
        heat_input_J_per_mm=heat,
        t85_s=time,
        cooling_regime=regime,
        keep_away=keep_away(job, joint, heat, reach),
        shrink_mm=bead.shrink_mm,
        tendon_N=bead.tendon.force_N,
        angle_deg=bead.angle_rad.times(degrees(1.0), "deg"),
        restraint=restraint,
        buckling=buckle,
        interpass_C=job.welding.interpass_C,
        tack_length_mm=tacks.length_mm,
        tack_spacing_mm=tacks.spacing_mm,
        tack_rule=tacks.rule,
        closing_mm=ordered.plan.chosen.closing_mm if ordered.plan else tacks.closing_mm,
        tacks=tuple(b for b in placed if b.kind == "tack"),
        stitches=tuple(b for b in placed if b.kind == "stitch"),
        orders=orders,
        chosen=ordered.plan.chosen.name if ordered.plan else RULE_NAME,
        reason=ordered.reason,
        draws=ordered.plan.draws if ordered.plan else 0,
        choices=choices(job, ordered.plan, {o.key: o.total_s / 60.0 for o in orders}) if ordered.plan else (),
        brace=brace_figure(job, ordered.plan),
        shape=shape,
        coupon=_coupon_words(shop, bead, measured is not None),
        findings=tuple(findings),
        reach=reach,
    )


def _position_note(job: Job, placed: tuple[PlacedBead, ...]) -> list[Finding]:
    """The makers' tables are for flat work: said wherever a stitch lies otherwise."""
    others = sorted({b.position for b in placed if b.kind == "stitch"} - {"PA", "PB"})
    if not others or job.welding.current_A is not None:
        return []
    return [
        Finding(
            "no-table-for-position",
            "warning",
            say(
                "stitches lie in position {positions} (ISO 6947); no settings are published for it here, "
                "those shown are for flat work",
                positions=every(others),
            ),
            "welding.position",
            say("weld a trial piece in this position first and give its current, voltage and speed in the job"),
        )
    ]


def _plug_note(job: Job, joint: WeldJoint) -> Finding:
    """Plug welds come last, each as far from those made as can be."""
    centres = [h.centre for h in job.plate.holes if h.purpose == "plug weld"]
    left = list(range(len(centres)))
    order = [left.pop(0)]
    while left:
        far = max(left, key=lambda i: (round(min(centres[i].distance(centres[j]) for j in order), 6), -i))
        left.remove(far)
        order.append(far)
    return Finding(
        "plug-welds-last",
        "note",
        say(
            "plug welds are made after the stitches, when the plate is cold, in this order: {names}",
            names=every(joint.plugs[i].hole for i in order),
        ),
        "plate.holes",
        say("clamp plate and skin together at each; their heat and shrinkage are not in the order model"),
    )


def _steels(job: Job) -> tuple[Grade, Grade, list[Finding]]:
    """Grades of plate and skin; an unknown one is taken as S235 and said so."""
    found: list[Grade] = []
    findings: list[Finding] = []
    for where, name in (("plate.steel", job.plate.steel), ("skin.steel", job.skin.steel)):
        try:
            found.append(grade(name))
        except CutplanError as error:
            found.append(grade("S235"))
            findings.append(
                Finding(
                    "steel-unknown",
                    "warning",
                    say("{problem}: taken as S235", problem=as_value(error.message)),
                    where,
                    error.hint,
                )
            )
    return found[0], found[1], findings


def _starts(
    job: Job, joint: WeldJoint, settings: Settings, spans: tuple[Span, ...], turns: tuple[Turn, ...], runs: int
) -> tuple[Start, ...]:
    wish = job.welding
    return order_starts(
        job.plate.outline, spans, turns, settings, heat_room(job, joint), wish.interpass_C, wish.ambient_C, runs
    )


def _placed(job: Job, ordered: Ordered, starts: tuple[Start, ...]) -> tuple[PlacedBead, ...]:
    outline = job.plate.outline
    out: list[PlacedBead] = []
    count: dict[BeadKind, int] = {"tack": 0, "stitch": 0}
    for turn, start in zip(ordered.turns, starts, strict=True):
        span = ordered.spans[turn.bead]
        path = piece(outline, span)
        if turn.backward:
            path = backward(path)
        kind: BeadKind = "tack" if turn.bead < ordered.tacks else "stitch"
        count[kind] += 1
        out.append(
            PlacedBead(
                ordered.names[turn.bead],
                kind,
                count[kind],
                span,
                path,
                path[0].start,
                place(outline, 0.5 * (span.start_mm + span.end_mm)),
                path[-1].end,
                turn.backward,
                span.end_mm - span.start_mm,
                start.wait_s,
                start.start_s,
                Band(
                    start.low_C,
                    start.mid_C,
                    start.high_C,
                    "degC",
                    say("superposed moving sources in thin plate; see wait"),
                ),
                position_of(job, span, min(job.plate.thickness_mm, job.skin.thickness_mm))[0],
            )
        )
    return tuple(out)


def _orders(ordered: Ordered) -> tuple[OrderFigure, ...]:
    if ordered.plan is None:
        return ()
    return tuple(
        OrderFigure(
            result.name,
            order_name(result.name),
            result.flatness_mm,
            result.pitch_mm,
            result.tilt_mm_per_m,
            result.closing_mm,
            result.chance_within,
            result.equal_to_best,
            tuple(s.name + ("<" if s.backward else "") for s in result.steps),
            result.name == ordered.plan.chosen.name,
            60.0 * (result.minutes or 0.0),
        )
        for result in ordered.plan.orders
    )


def _coupon_words(shop: Shop | None, bead: FreeBead, used: bool) -> Message:
    if not used:
        return Message("")
    return say(
        "{file}: shrinkage {shrink} and angle {angle} narrowed by the shop's own trial piece",
        file=code(shop.source) if shop and shop.source else say("the shop file"),
        shrink=shown(bead.shrink_mm, 2),
        angle=shown(bead.angle_rad.times(degrees(1.0), "deg"), 1),
    )
