"""Distortion of a welded insert, and the order of beads that keeps the pads flat.

Two doors, same result::

    plan_order(job, beads, inherent, options) -> OrderPlan        from a checked job
    plan_task(task, beads, inherent, options) -> OrderPlan        from plain geometry (``WeldTask``)

``beads`` is a sequence of ``Bead`` (name, kind, start_mm, end_mm along the plate's outline from its first point, in the
outline's own direction, counter-clockwise); ``inherent`` one ``Inherent`` per bead, see ``inherent_of``. Both are frozen data; nothing here
needs the heat module. The doors load scipy; the data classes do not.
"""

from __future__ import annotations

from cutplan.welding.distortion.result import ExtraPlace, OrderPlan, OrderResult, Robustness, Shape, Step
from cutplan.welding.distortion.task import Bead, BracePath, Inherent, OrderOptions, PadPoints, Rib, Sheet, WeldTask

__all__ = [
    "Bead",
    "BracePath",
    "ExtraPlace",
    "Inherent",
    "OrderOptions",
    "OrderPlan",
    "OrderResult",
    "PadPoints",
    "Rib",
    "Robustness",
    "Shape",
    "Sheet",
    "Step",
    "WeldTask",
]
