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

#: Gives what was drawn under a name, in this run or an earlier one: (name, the one trade that it shows or "", draw).
Keep = Callable[[str, str, Callable[[], Any]], Any]


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
    keep : callable or None
        Remembers what was drawn between runs; None: nothing is.
    """

    job: Job
    shop: Shop = field(default_factory=Shop)
    cut: CutPlan | None = None
    templates: TemplateSet | None = None
    opening: OpeningPlan | None = None
    weld: WeldPlan | None = None
    findings: tuple[Finding, ...] = ()
    steering: Placed | None = None
    keep: Keep | None = field(default=None, compare=False, repr=False)
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

    def kept(self, name: str, draw: Callable[[], T], trade: str = "") -> T:
        """Return what was drawn under a name, as `once` does, and between runs where they are remembered.

        What is drawn may not depend on the paper, the templates and the findings; a test holds that for each use.

        Parameters
        ----------
        name : str
            Name of the drawing; language and units of the job are added to it.
        draw : callable
            Makes it from these results.
        trade : str
            The one trade whose plan is drawn, where of the job only that is drawn which this plan depends on;
            empty for any of cut, opening and weld.
        """
        gone = "".join(f", no {t}" for t in ("cut", "opening", "weld") if getattr(self, t) is None)
        full = f"{name} in {self.job.shown.language}, {self.job.shown.display}{gone}"
        keep = self.keep
        found: T = self.once(full, draw if keep is None else lambda: keep(full, trade, draw))
        return found
