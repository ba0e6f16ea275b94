"""Pad outputs turned into what the fabricator measures: out of flat, tilt, change of pitch, and the score."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutplan.fem.mesh import Floats, Ints
from cutplan.welding.distortion.model.condensed import Model
from cutplan.welding.distortion.task import OrderOptions


@dataclass(frozen=True, slots=True, eq=False)
class Judge:
    """Linear maps from pad outputs to plane residuals, slopes and pitches.

    Parameters
    ----------
    residual : ndarray (points, outputs)
        Height of each pad point over the best plane through all.
    slope : ndarray (2, outputs)
        Slopes of that plane.
    pitch : ndarray (pairs, outputs)
        Change of the distance between two pads.
    pitch_weight, closing_weight : float
        Share of the pitch change, and of closing beyond `closing_free_mm`, in the score [1].
    closing_free_mm : float
        Closing that does no harm [mm].
    """

    residual: Floats
    slope: Floats
    pitch: Floats
    pitch_weight: float
    closing_weight: float
    closing_free_mm: float

    def flatness_mm(self, outputs: Floats) -> Floats:
        """Out of flat, top to bottom, for each row of outputs [mm]."""
        return np.asarray(np.ptp(outputs @ self.residual.T, axis=-1))

    def tilt_mm_per_m(self, outputs: Floats) -> Floats:
        """Slope of the pads' plane for each row of outputs [mm/m]."""
        return np.asarray(1000.0 * np.hypot(*np.moveaxis(outputs @ self.slope.T, -1, 0)))

    def pitch_mm(self, outputs: Floats) -> Floats:
        """Largest change of distance between two pads for each row of outputs [mm]."""
        change = np.abs(outputs @ self.pitch.T)
        return np.asarray(change.max(axis=-1)) if change.shape[-1] else np.zeros(change.shape[:-1])

    def score(self, outputs: Floats) -> Floats:
        """Out of flat and weighted pitch change for each row of outputs [mm]."""
        return np.asarray(self.flatness_mm(outputs) + self.pitch_weight * self.pitch_mm(outputs))

    def full_score(self, outputs: Floats, closing_mm: Floats) -> Floats:
        """The same with a fine for gaps that close too far [mm]."""
        return np.asarray(self.score(outputs) + self.fine(closing_mm))

    def fine(self, closing_mm: Floats) -> Floats:
        """Fine for the worst closing of each order [mm]."""
        return np.asarray(self.closing_weight * np.maximum(closing_mm - self.closing_free_mm, 0.0))


def make_judge(model: Model, options: OrderOptions) -> Judge:
    """Return the judge of a set of pads; fewer than three points out of line leave the plane's free slopes at zero.

    Parameters
    ----------
    model : Model
        Holds the pads and the gap.
    options : OrderOptions
        Weights of the score.
    """
    pads = model.pads
    count, groups = len(pads.place), len(pads.centre)
    outputs = count + 2 * groups
    local = pads.place - pads.place.mean(axis=0)
    reach = max(float(np.abs(local).max()), 1e-9)
    basis = np.column_stack([np.ones(count), local / reach])
    fit = np.linalg.pinv(basis, rcond=1e-9)
    residual, slope = np.zeros((count, outputs)), np.zeros((2, outputs))
    residual[:, :count] = np.eye(count) - basis @ fit
    slope[:, :count] = fit[1:] / reach
    pairs: Ints = np.array([(a, b) for a in range(groups) for b in range(a + 1, groups)], dtype=np.int64).reshape(-1, 2)
    pitch = np.zeros((len(pairs), outputs))
    for row, (a, b) in enumerate(pairs):
        run = pads.centre[b] - pads.centre[a]
        run = run / max(float(np.hypot(*run)), 1e-9)
        for axis in range(2):
            pitch[row, count + 2 * b + axis] += run[axis]
            pitch[row, count + 2 * a + axis] -= run[axis]
    # a lap has no gap to close; half of a butt's gap may close before the arc gets into trouble (our own)
    free = np.inf if model.task.lap else 0.5 * model.task.ligament_mm
    return Judge(residual, slope, pitch, options.pitch_weight, options.closing_weight, float(free))
