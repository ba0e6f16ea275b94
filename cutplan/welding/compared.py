"""The orders compared as figures of the plan."""

from __future__ import annotations

from cutplan.tables.welding.order_names import order_name
from cutplan.welding.distortion import OrderResult
from cutplan.welding.result import OrderFigure


def order_figure(result: OrderResult, chosen: bool) -> OrderFigure:
    """Return one order compared as a figure of the plan."""
    return OrderFigure(
        result.name,
        order_name(result.name),
        result.flatness_mm,
        result.pitch_mm,
        result.tilt_mm_per_m,
        result.closing_mm,
        result.chance_within,
        result.equal_to_best,
        tuple(s.name + ("<" if s.backward else "") for s in result.steps),
        chosen,
        60.0 * (result.minutes or 0.0),
        result.stitched,
    )
