"""``summary.json``: every figure, machine readable, the same for the same input."""

from __future__ import annotations

from importlib.metadata import PackageNotFoundError, version
from math import isfinite
from typing import Any

from cutplan import __version__
from cutplan.pattern.opening import line_proof
from cutplan.sheets.cautions import cautions
from cutplan.sheets.plate.parts import plate_mass_kg
from cutplan.sheets.results import Results
from cutplan.tables.band import Band
from cutplan.welding.distortion.later.parts import LaterPlan
from cutplan.welding.later.result import LaterWeld
from cutplan.welding.result import OrderFigure, PlacedBead

#: Libraries whose version can change a figure.
_LIBRARIES = ("numpy", "scipy", "shapely", "ezdxf", "reportlab", "matplotlib", "pillow")


def summary(results: Results) -> dict[str, Any]:
    """Return the figures as plain data with sorted keys.

    Parameters
    ----------
    results : Results
        Job and plans; the part of a trade that was not planned is null.

    Returns
    -------
    dict
        As described in ``docs/summary.md``: lengths [mm], areas [mm2], masses [kg], times [s], heat [J/mm].
    """
    job, region = results.job, results.job.plate.region
    whole: dict[str, Any] = {
        "job": {
            "title": job.about.title,
            "revision": job.about.revision,
            "date": job.about.date,
            "area": job.about.area,
            "source": job.origin.source,
            "drawing": job.origin.drawing,
        },
        "units": {
            "length": "mm",
            "area": "mm2",
            "mass": "kg",
            "time": "s",
            "heat_input": "J/mm",
            "display": job.shown.display,
        },
        "versions": _versions(),
        "shop": {"source": results.shop.source, "name": results.shop.name},
        "plate": {
            "area_mm2": round(region.outer.area, 3),
            "net_area_mm2": round(region.area, 3),
            "mass_kg": round(plate_mass_kg(job), 4),
            "holes": len(job.plate.holes),
            "perimeter_mm": round(region.outer.length, 3),
            "thickness_mm": round(job.plate.thickness_mm, 3),
            "steel": job.plate.steel,
        },
        "templates": _templates(results),
        "cut": _cut(results),
        "opening": _opening(results),
        "weld": _weld(results),
        "steering": _steering(results),
        "cautions": list(cautions(job, "en", results.opening)),
        "findings": [f.as_dict() for f in results.findings],
    }
    ordered: dict[str, Any] = _sorted(whole)
    return ordered


def _versions() -> dict[str, str]:
    found = {"cutplan": __version__}
    for name in _LIBRARIES:
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            found[name] = ""
    return found


def _steering(results: Results) -> dict[str, Any] | None:
    """The study of the steering that the job follows: what moved, and each figure now and moved with its error."""
    placed, moved = results.steering, results.job.origin.moved
    if placed is None or placed.best is None or moved is None:
        return None
    from cutplan.linkage.study import FIGURES

    best = placed.best
    return {
        "study": moved.study,
        "shift_mm": dict(zip(("forward", "left", "up"), moved.shift_mm, strict=True)),
        "in_plate_mm": [round(v, 3) for v in moved.in_plate_mm],
        "not_in_plate_mm": dict(zip(("forward", "left", "up"), moved.rest_mm, strict=True)),
        "tolerance_mm": moved.tolerance_mm,
        "figures": {
            name: {
                "now": _known(placed.now.values[name]),
                "moved": _known(value),
                "standard_error": _known(best.errors[name]),
                "unit": FIGURES[name],
            }
            for name, value in best.values.items()
        },
        "wishes": [
            {"figure": w.figure, "kind": w.kind, "limit": w.limit, "margin": _known(m)}
            for w, m in zip(placed.study.wishes, best.margins, strict=True)
        ],
    }


def _known(value: Any) -> float | None:
    """A figure, or None where it has no value."""
    return round(float(value), 4) if isfinite(value) else None


def _templates(results: Results) -> dict[str, Any] | None:
    plan = results.templates
    if plan is None:
        return None
    x, y = plan.scale
    return {
        "paper": plan.paper,
        "pages": len(plan.pages),
        "sheets": plan.sheets,
        "plain_grid_sheets": plan.plain_sheets,
        "overlap_mm": round(plan.overlap_mm, 3),
        "seams_through_holes": plan.seams_through_holes,
        "scale": {"x": round(x, 6), "y": round(y, 6)},
        "checks": [{"from": d.start, "to": d.end, "length_mm": round(d.a.distance(d.b), 2)} for d in plan.checks],
    }


def _cut(results: Results) -> dict[str, Any] | None:
    plan = results.cut
    if plan is None:
        return None
    return {
        "process": plan.process,
        "kerf_mm": round(plan.kerf_mm, 4),
        "kerf": {"origin": plan.kerf.origin, **_band(plan.kerf.band)},
        "path_length_mm": round(plan.totals.cut_mm, 3),
        "rapid_length_mm": round(plan.totals.rapid_mm, 3),
        "pierces": plan.totals.pierces,
        "drilled_not_cut": [
            {
                "name": d.name,
                "diameter_mm": round(d.diameter_mm, 3),
                "pilot_mm": round(d.pilot_mm, 3),
                "reason": str(d.reason),
            }
            for d in plan.drilled
        ],
        "order": [p.name for p in plan.paths],
        "time_s": _band(plan.totals.time_s),
        "proof": {
            "deepest_bite_mm": round(max(0.0, plan.proof.bite_mm), 6),
            "thickest_rest_mm": round(plan.proof.rest_mm, 6),
            "rest_in_corners_mm": round(plan.proof.corner_mm, 4),
            "places": plan.proof.places,
            "proved": plan.proof.proved,
        },
    }


def _opening(results: Results) -> dict[str, Any] | None:
    plan = results.opening
    if plan is None:
        return None
    proof = line_proof(results.job, plan.line)
    return {
        "perimeter_mm": round(plan.perimeter_mm, 3),
        "line": {
            "nearer_mm": round(proof.nearer_mm, 6),
            "farther_mm": round(proof.farther_mm, 6),
            "places": proof.places,
        },
        "sections": [
            {
                "number": s.number,
                "mass_kg": round(s.mass_kg, 4),
                "length_mm": round(s.length_mm, 2),
                "width_mm": round(s.width_mm, 2),
            }
            for s in plan.sections
        ],
        "order": list(plan.order),
        "steps": [s.kind for s in plan.steps],
        "cut_length_mm": round(plan.effort.cut_mm, 3),
        "tool": plan.tools.main,
        "time_min": _band(plan.effort.time_min),
        "braces": [
            {
                "design": c.design,
                "fits": c.brace is not None or c.design is None,
                "lacks_mm": _round(c.lacks_mm),
                "stiffness_pulled": None if c.pull is None else _three(c.pull),
                "stiffness_folded": None if c.fold is None else _three(c.fold),
                "slower_tools_share": _round(c.missed),
                "no_tool_mm": _round(c.blocked_mm),
                "tacks": c.tacks,
                "chosen": c.chosen,
            }
            for c in plan.bracing.choices
        ],
        "worth": [
            {"pad": w.pad, "in_plane": _three(w.flat), "bending": _three(w.bent), "kind": "stiffness, not strength"}
            for w in plan.worth
        ],
    }


def _later(weld: LaterWeld) -> dict[str, Any]:
    """A sleeve's or rib's fillets after the stitches."""
    return {
        "name": weld.name,
        "kind": weld.kind,
        "first": weld.first,
        "beads": weld.beads,
        "length_mm": _round(weld.length_mm),
        "heat_kJ": _band(weld.heat_kJ),
        "wait_s": _round(weld.wait_s),
        "shrink_mm": _band(weld.shrink_mm),
        "lift_mm": _three(weld.lift_mm),
        "flatness_after_mm": _three(weld.after_mm),
    }


def _after(plan: LaterPlan | None) -> dict[str, Any] | None:
    """The welds after the stitches together: their orders, and what is left of the flatness."""
    if plan is None:
        return None
    return {
        "chosen": plan.chosen.name,
        "equal": plan.equal,
        "not_computed": list(plan.left_out),
        "orders": [
            {
                "name": o.name,
                "parts": list(o.parts),
                "flatness_mm": _three(o.flatness_mm),
                "pitch_mm": _three(o.pitch_mm),
                "chance_within": _round(o.chance_within),
            }
            for o in plan.orders
        ],
    }


def _weld(results: Results) -> dict[str, Any] | None:
    plan = results.weld
    if plan is None:
        return None
    return {
        "kind": plan.joint.kind,
        "process": plan.settings.process,
        "length_mm": round(plan.length_mm, 3),
        "tacks": len(plan.tacks),
        "stitches": len(plan.stitches),
        "tack_order": [b.name for b in plan.tacks],
        "stitch_order": [b.name for b in plan.stitches],
        "metal_kg": round(plan.uses.metal_kg, 5),
        "wire_kg": _band(plan.uses.wire_kg),
        "gas_l": _band(plan.uses.gas_l),
        "heat_input_J_per_mm": _band(plan.heat.input_J_per_mm),
        "t85_s": _band(plan.heat.t85_s),
        "shrink_mm": _band(plan.free.shrink_mm),
        "closing_mm": _band(plan.tacking.closing_mm),
        "orders": [_order(o) for o in plan.order.compared],
        "chosen": plan.order.chosen,
        "beads": [_bead(b) for b in sorted((*plan.tacks, *plan.stitches), key=lambda b: (b.start_s, b.name))],
        "reason": [str(r) for r in plan.order.reason],
        "draws": plan.order.draws,
        "choices": [
            {
                "what": str(c.what),
                "flatness_mm": _three(c.flatness_mm),
                "chance_within": _round(c.chance_within),
                "minutes": _round(c.minutes),
                "cost": str(c.cost),
                "chosen": c.chosen,
            }
            for c in plan.order.choices
        ],
        "choice_reason": str(plan.order.choice_reason),
        "later": [_later(w) for w in plan.later],
        "after_later": _after(plan.order.later),
        "brace": {
            "present": plan.order.brace.present,
            "statement": str(plan.order.brace.statement),
            "flatness_with_mm": _three(plan.order.brace.flatness_with_mm),
            "flatness_without_mm": _three(plan.order.brace.flatness_without_mm),
        },
        "wait_s": _round(plan.wait_s),
        "arc_time_s": _round(plan.uses.arc_time_s),
        "total_time_s": _round(plan.total_time_s),
        "keep_away_mm": {str(k.thing): _round(k.distance_mm.mid) for k in plan.heat.keep_away},
        "coupon": str(plan.free.coupon),
    }


def _order(order: OrderFigure) -> dict[str, Any]:
    return {
        "name": order.key,
        "flatness_mm": _three(order.flatness_mm),
        "pitch_mm": _round(order.pitch_mm.mid),
        "pitch_band_mm": _three(order.pitch_mm),
        "order": list(order.order),
        "chance_within": _round(order.chance_within),
        "equal_to_best": order.equal_to_best,
        "minutes": _round(order.total_s / 60.0),
        "chosen": order.chosen,
        "after_stitches": None
        if order.stitched is None
        else {
            "flatness_mm": _three(order.stitched.flatness_mm),
            "chance_within": _round(order.stitched.chance_within),
        },
    }


def _bead(bead: PlacedBead) -> dict[str, Any]:
    return {
        "name": bead.name,
        "kind": bead.kind,
        "start_mm": [round(bead.start.x, 3), round(bead.start.y, 3)],
        "end_mm": [round(bead.end.x, 3), round(bead.end.y, 3)],
        "wait_s": _round(bead.wait_s),
        "position": bead.position,
    }


def _round(value: float) -> float:
    """Six significant digits: what lies below is noise of the solver."""
    return float(f"{value:.6g}")


def _three(band: Band | None) -> dict[str, float] | None:
    return None if band is None else {"low": _round(band.low), "mid": _round(band.mid), "high": _round(band.high)}


def _band(band: Band) -> dict[str, Any]:
    return {
        "low": _round(band.low),
        "mid": _round(band.mid),
        "high": _round(band.high),
        "unit": band.unit,
        "source": str(band.source),
    }


def _sorted(value: Any) -> Any:
    """Keys in order at every level."""
    if isinstance(value, dict):
        return {k: _sorted(value[k]) for k in sorted(value)}
    if isinstance(value, list):
        return [_sorted(v) for v in value]
    return value
