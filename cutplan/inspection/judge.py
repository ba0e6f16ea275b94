"""One measured value against its limit: lengths, pads and gaps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from cutplan.geometry.vector import Point
from cutplan.inspection.form import planned_gap_mm
from cutplan.inspection.limits import length_limit
from cutplan.inspection.named_points import dial_places
from cutplan.inspection.readings import Reading
from cutplan.pattern.job import Job
from cutplan.pattern.pads import Pad
from cutplan.sheets.results import Results
from cutplan.tables.welding.tolerances_weld import fillet_root_gap_limit_mm
from cutplan.texts import Message
from cutplan.texts.by_id import told

#: Share of the planned gap below which it has closed too far (common practice, no source).
GAP_CLOSED = 0.5
#: Smallest excess over the planned gap that matters [mm] (common practice: what a filler bridges without notice).
GAP_SLACK_MM = 0.5
#: A gap this little above the settings' range asks for nothing [mm] (common practice: the reading error of a gauge).
SETTINGS_SLACK_MM = 0.2
#: Throat of a lap fillet over the thinner sheet where no weld plan tells it (leg equal to the sheet, exact).
LAP_THROAT = 0.7071


@dataclass(frozen=True, slots=True)
class Checked:
    """A measured value, what it should be and whether it holds.

    Parameters
    ----------
    label : str
        Name for lists.
    kind : {"length", "flatness", "gap", "place"}
        What the limit is about.
    size_mm : float
        Size that tolerance classes go by: the planned length or the width of the pad [mm].
    plan_mm, measured_mm, deviation_mm : float
        Plan, reading and their difference [mm].
    low_mm, high_mm : float
        Allowed deviation [mm].
    source : Message or str
        Where the limit comes from.
    """

    label: Message | str
    kind: Literal["length", "flatness", "gap", "place"]
    size_mm: float
    plan_mm: float
    measured_mm: float
    deviation_mm: float
    low_mm: float
    high_mm: float
    source: Message | str

    @property
    def ok(self) -> bool:
        """Whether the deviation keeps the limit (to a thousandth of a millimetre)."""
        return self.low_mm - 1e-3 <= self.deviation_mm <= self.high_mm + 1e-3

    def as_dict(self) -> dict[str, object]:
        """Return the check as plain data for ``--json``."""
        return {
            "label": str(self.label),
            "kind": self.kind,
            "plan_mm": round(self.plan_mm, 3),
            "measured_mm": round(self.measured_mm, 3),
            "deviation_mm": round(self.deviation_mm, 3),
            "low_mm": round(self.low_mm, 3),
            "high_mm": round(self.high_mm, 3),
            "ok": self.ok,
            "source": str(self.source),
        }


def judge_length(job: Job, reading: Reading, points: dict[str, Point]) -> Checked:
    """Return the verdict on a distance by the limit that pads, standard and a traced plan leave it."""
    a, b = points[reading.name], points[reading.to]
    plan, measured = a.distance(b), float(reading.measured_mm or 0.0)
    limit = length_limit(job, reading.name, reading.to, a, b)
    allowed = limit.value_mm
    return Checked(reading.said, "length", plan, plan, measured, measured - plan, -allowed, allowed, limit.source)


def judge_pads(job: Job, readings: Sequence[Reading], lang: str = "en") -> list[Checked]:
    """Return the verdicts on the pads: dial readings about their best plane, feeler gaps as they are."""
    found: list[Checked] = []
    pads = {p.name: p for p in job.pads}
    for pad in job.pads:
        dial = [r for r in readings if r.kind == "dial" and r.name == pad.name]
        if len(dial) >= 4:
            value = out_of_flat_mm(job, pad, dial)
            label = told("inspect.dial", lang, pad=pad.name, count=len(dial))
            found.append(_flat(label, pad.diameter_mm, value, pad.flatness_mm))
    for r in readings:
        if r.kind == "feeler":
            first, second = pads[r.name], pads.get(r.to)
            size = first.diameter_mm if second is None else first.centre.distance(second.centre)
            limit = first.flatness_mm if second is None else min(first.flatness_mm, second.flatness_mm)
            found.append(_flat(r.said, size, float(r.measured_mm or 0.0), limit))
    return found


def _flat(label: Message | str, size_mm: float, value_mm: float, limit_mm: float) -> Checked:
    return Checked(label, "flatness", size_mm, 0.0, value_mm, value_mm, 0.0, limit_mm, "flatness_mm")


def out_of_flat_mm(job: Job, pad: Pad, dial: Sequence[Reading]) -> float:
    """Return top to bottom of the heights about their least-squares plane [mm]; at least four different places."""
    places = dial_places(job, pad)
    rows = np.array([[*places[int(r.to) - 1], 1.0] for r in dial])
    rows[:, :2] -= np.array(pad.centre)
    heights = np.array([r.measured_mm for r in dial], dtype=float)
    rest = heights - rows @ np.linalg.lstsq(rows, heights, rcond=None)[0]
    return float(rest.max() - rest.min())


def judge_gap(job: Job, plan: Results | None, reading: Reading) -> Checked:
    """Return the verdict on a root gap: closed below half the plan, too wide above what one run bridges.

    A butt joint bridges up to the thinner thickness (square edges, one side; ISO 9692-1 from memory); a lap keeps the
    fillet root gap of ISO 5817-C.
    """
    wanted = planned_gap_mm(job)
    measured = float(reading.measured_mm or 0.0)
    thinner = min(job.plate.thickness_mm, job.skin.thickness_mm)
    if job.joint.kind == "butt":
        high = max(thinner - wanted, GAP_SLACK_MM)
        return Checked(
            reading.said,
            "gap",
            wanted,
            wanted,
            measured,
            measured - wanted,
            -GAP_CLOSED * wanted,
            high,
            "gap 0.5 to 1 x thinner sheet (common practice; ISO 9692-1 from memory)",
        )
    throat = plan.weld.joint.throat_mm if plan is not None and plan.weld is not None else LAP_THROAT * thinner
    limit = fillet_root_gap_limit_mm(throat, thinner, "C")
    source = "ISO 5817-C" if thinner > 3.0 else "ISO 5817-C (from memory)"
    return Checked(reading.said, "gap", 0.0, 0.0, measured, measured, 0.0, limit, source)


def needs_other_settings(plan: Results | None, checked: Checked) -> bool:
    """Whether a gap can be welded, but lies above the range that the plan's settings are for and above the plan."""
    if plan is None or plan.weld is None or checked.kind != "gap" or not checked.ok:
        return False
    widest = plan.weld.settings.table.gap_mm[1]
    return widest > 0.0 and checked.measured_mm > max(widest, checked.plan_mm) + SETTINGS_SLACK_MM
