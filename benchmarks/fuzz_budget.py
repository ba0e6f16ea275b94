"""How much one random job may cost: as a user's job, or the same program with fewer of everything that it repeats.

A light job goes through the same ``make``. Its plate is at most half a metre long; the search follows the named orders
and few of its own, with one draw, on a coarser mesh; the report and the pictures are made of every eighth job only. So
many more jobs fit into the same time, for faults that a shape or a value causes, not the length of a search. A slight
job leaves the job sheet out as well, but of every eighth.
"""

from __future__ import annotations

import importlib
import pkgutil
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import cutplan

if TYPE_CHECKING:
    from cutplan.pattern.job import Job
    from cutplan.welding.distortion import OrderOptions


@dataclass(frozen=True)
class Budget:
    """Longest side of a plate [mm], what the weld's search is given instead of its usual, and documents left out.

    Parameters
    ----------
    largest_mm : float
        Longest side of a plate [mm].
    search : dict
        Fields of ``OrderOptions``.
    only : tuple of str
        Documents that are made of most jobs; empty for all.
    whole_every : int
        Every so many jobs all documents are made.
    """

    largest_mm: float = 1800.0
    search: dict[str, int] = field(default_factory=dict)
    only: tuple[str, ...] = ()
    whole_every: int = 1

    def wanted(self, seed: int) -> tuple[str, ...]:
        """Documents of the job of a seed; none for all."""
        return () if seed % self.whole_every == 0 else self.only


#: What the search of the weld's order is given, where a job may cost little.
SEARCH = {"evaluations": 2, "training": 1, "samples": 16, "triangles": 900, "extra_places": 2}
#: Budgets by the name that a log and the page give them.
BUDGETS = {
    "whole": Budget(),
    "light": Budget(
        500.0,
        SEARCH,
        ("summary", "templates", "plate-net", "plate-path", "opening", "job-sheet"),
        8,
    ),
    "slight": Budget(400.0, SEARCH, ("summary", "templates", "plate-net", "plate-path", "opening"), 8),
}


def spend(budget: Budget) -> None:
    """Let the search of this process have what a budget gives it, from now on."""
    from cutplan.welding import order

    usual = order.options_of

    def options_of(job: Job) -> OrderOptions:
        return replace(usual(job), **budget.search)

    if budget.search:
        order.options_of = options_of


def load_all() -> None:
    """Load every module of the package once, before the processes of the jobs part."""
    for module in pkgutil.walk_packages(cutplan.__path__, "cutplan."):
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)
