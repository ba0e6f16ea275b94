"""What is known of a plate that was traced from pictures of a cardboard template: how sure each length of it is."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

from cutplan.geometry.vector import Point

#: Standard errors of the plan that are kept back from a limit: coverage factor 2 of ISO 14253-1 (from memory).
COVER = 2.0
#: Share of a limit that is left to the work however unsure the plan is (our own); a finding says so then.
LEAST_SHARE = 0.5


@dataclass(frozen=True, slots=True)
class TracedHole:
    """A hole as traced: its name in the job, standard errors of diameter and place [mm], and whether views proved it.

    ``diameter_error_mm`` is None for a hole that is not round.
    """

    name: str
    diameter_error_mm: float | None
    place_error_mm: float
    proved: bool


@dataclass(frozen=True, slots=True)
class Traced:
    """The account of errors of a traced plate.

    Parameters
    ----------
    scale_error : float
        Standard error of the scale, as a share of every length [1].
    edge_error_mm : float
        Largest standard error of the place of a line or an arc of the outline [mm].
    holes : tuple of TracedHole
        The holes that the pictures showed, by their names in the job.
    pictures : tuple of str
        Names of the pictures, as the job states them; empty where it states none.
    print_scale : tuple of float or None
        What the marks' printer made of a length, across and along [1]; None where the account does not say.
    """

    scale_error: float
    edge_error_mm: float
    holes: tuple[TracedHole, ...]
    pictures: tuple[str, ...] = ()
    print_scale: tuple[float, float] | None = None

    def hole(self, name: str) -> TracedHole | None:
        """Return a hole by its name in the job, None where it was not traced."""
        return next((h for h in self.holes if h.name == name), None)

    def place_error_mm(self, name: str) -> float:
        """Return the standard error of the place of a named point: a traced hole's own, else the edge's [mm]."""
        hole = self.hole(name)
        return self.edge_error_mm if hole is None else hole.place_error_mm

    def distance_error_mm(self, first: str, second: str, a: Point, b: Point) -> float:
        """Return the standard error of the planned distance of two named points [mm].

        Parameters
        ----------
        first, second : str
            Names of the points.
        a, b : Point
            Where they are planned [mm].

        Notes
        -----
        The two places are independent, the scale is common to all: exact for independent errors.
        """
        return hypot(self.place_error_mm(first), self.place_error_mm(second), self.scale_error * a.distance(b))
