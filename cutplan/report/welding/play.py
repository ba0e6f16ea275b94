"""The weld order as steps for the screen: which bead, the pads so far, and the displaced shape packed small."""

from __future__ import annotations

from base64 import b64encode
from math import cos, pi, sin
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from cutplan.pattern.job import Job
from cutplan.report.welding.mesh import screen_mesh
from cutplan.sheets.results import Results

if TYPE_CHECKING:
    from cutplan.welding.result import PlacedBead, ShapeAfter, WeldPlan

#: The largest lift is drawn as this share of the part's longer side.
_DRAWN_SHARE = 0.16
#: Largest whole number that a packed lift takes.
_FULL = 32000
#: Points on the rim of a pad at which its height is taken.
_RIM = 8


def welding_order(plan: WeldPlan) -> tuple[PlacedBead, ...]:
    """Return tacks and stitches in the order they are welded."""
    return tuple(sorted((*plan.tacks, *plan.stitches), key=lambda b: (b.start_s, b.kind != "tack", b.number)))


def out_of_flat_so_far(job: Job, shape: ShapeAfter) -> NDArray[np.float64]:
    """Return the pads' height over their best common plane, top to bottom, after each step, (steps,) [mm]; empty without pads."""
    if not job.pads:
        return np.zeros(0)
    plate = np.flatnonzero(shape.is_plate)
    points = shape.points[plate]
    chosen: list[int] = []
    for pad in job.pads:
        rim = np.array(
            [
                (
                    pad.centre.x + 0.5 * pad.diameter_mm * cos(2.0 * pi * k / _RIM),
                    pad.centre.y + 0.5 * pad.diameter_mm * sin(2.0 * pi * k / _RIM),
                )
                for k in range(_RIM)
            ]
        )
        near = ((points[None, :, :] - rim[:, None, :]) ** 2).sum(axis=2).argmin(axis=1)
        chosen += [int(plate[i]) for i in np.unique(near)]
    place = shape.points[chosen] - shape.points[chosen].mean(axis=0)
    basis = np.column_stack([np.ones(len(chosen)), place])
    heights = shape.lift_mm[:, chosen]
    rest = heights - (heights @ np.linalg.pinv(basis, rcond=1e-9).T) @ basis.T
    return np.asarray(np.ptp(rest, axis=1))


def weld_steps(results: Results) -> list[dict[str, Any]]:
    """Return one entry per step: class of its strokes in the map, label, wait [s], out of flat so far [mm] or null."""
    plan = results.weld
    if plan is None:
        return []
    order = welding_order(plan)
    flat = out_of_flat_so_far(results.job, plan.order.shape) if plan.order.shape is not None else np.zeros(0)
    steps: list[dict[str, Any]] = [{"mark": "", "name": "", "wait": 0, "flat": _at(flat, 0)}]
    for i, bead in enumerate(order, 1):
        steps.append(
            {
                "mark": f"{bead.kind}-{bead.number}",
                "name": bead.name,
                "number": bead.number,
                "kind": bead.kind,
                "wait": round(bead.wait_s),
                "flat": _at(flat, i),
            }
        )
    if plan.order.shape is not None and len(plan.order.shape.labels) > len(order) + 1:
        steps.append({"mark": "", "name": "release", "wait": 0, "flat": _at(flat, len(order) + 1)})
    return steps


def _at(flat: NDArray[np.float64], row: int) -> float | None:
    return round(float(flat[row]), 3) if row < len(flat) else None


def packed_shape(results: Results) -> dict[str, Any] | None:
    """Return the mesh for the screen and its lift after each step, packed as 16-bit numbers in base64, or None."""
    plan = results.weld
    if plan is None or plan.order.shape is None:
        return None
    shape = plan.order.shape
    low, high = shape.points.min(axis=0), shape.points.max(axis=0)
    size = float((high - low).max())
    most = float(np.abs(shape.lift_mm).max())
    grain = max(most, 1e-6) / _FULL
    middle = 0.5 * (low + high)
    kept, triangles = screen_mesh(shape)
    places = np.rint((shape.points[kept] - middle) / (0.5 * size) * _FULL)
    times = _DRAWN_SHARE * size / max(most, 1e-6)
    return {
        "points": _packed(places),
        "triangles": _packed(triangles.astype(float) - 32768.0),
        "lift": _packed(np.rint(shape.lift_mm[:, kept] / grain)),
        "plate": int(shape.is_plate[kept].sum()),
        "count": len(kept),
        "full": _FULL,
        "half_mm": round(0.5 * size, 4),
        "grain_mm": grain,
        "box_mm": [round(float(v), 2) for v in high - low],
        "times": _rounded(times),
        "most_mm": round(most, 3),
        "pads": [
            [
                round((p.centre.x - float(middle[0])), 2),
                round((p.centre.y - float(middle[1])), 2),
                round(0.5 * p.diameter_mm, 2),
                p.name,
            ]
            for p in results.job.pads
        ],
    }


def _packed(values: NDArray[np.float64]) -> str:
    return b64encode(values.astype("<i2").tobytes()).decode("ascii")


def _rounded(times: float) -> float:
    """Round an exaggeration down to two digits, so that what is written is what is drawn."""
    return float(f"{times:.2g}")
