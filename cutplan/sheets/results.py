"""What the trades found out about one job, together: the one thing that sheets, report and summary read."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, TypeVar

from cutplan.findings import Finding
from cutplan.pattern.job import Job
from cutplan.pattern.shop import Shop

if TYPE_CHECKING:
    from cutplan.cutting.result import CutPlan
    from cutplan.linkage.places.placed import Placed
    from cutplan.opening.model import OpeningPlan
    from cutplan.templates.result import TemplateSet
    from cutplan.welding.result import WeldPlan


T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Results:
    """One job with the plans that were asked for.

    Parameters
    ----------
    job : Job
        What is wanted.
    shop : Shop
        The calibration used; its ``source`` is printed on every document.
    cut : CutPlan or None
        How the plate is cut; None when it was not asked for or cannot be made.
    templates : TemplateSet or None
        The 1:1 paper.
    opening : OpeningPlan or None
        How the opening is cut out.
    weld : WeldPlan or None
        How the plate is welded in.
    findings : tuple of Finding
        Everything noticed, of job, drawing and plans, in the order noticed, each once.
    steering : Placed or None
        The study of the steering that the job follows, at the shift that it states.
    """

    job: Job
    shop: Shop = field(default_factory=Shop)
    cut: CutPlan | None = None
    templates: TemplateSet | None = None
    opening: OpeningPlan | None = None
    weld: WeldPlan | None = None
    findings: tuple[Finding, ...] = ()
    steering: Placed | None = None
    _drawn: dict[str, Any] = field(default_factory=dict, init=False, compare=False, repr=False)

    def once(self, name: str, draw: Callable[[], T]) -> T:
        """Return what was drawn under a name; drawn when first asked for, and shared by sheet, report and previews.

        Parameters
        ----------
        name : str
            Name of the drawing; with everything that changes it, such as a language.
        draw : callable
            Makes it from these results.
        """
        if name not in self._drawn:
            self._drawn[name] = draw()
        found: T = self._drawn[name]
        return found
