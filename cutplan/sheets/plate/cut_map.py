"""The torch's path as a figure: cuts with direction and order, leads, pierces and rapid moves."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.drawing.model import Figure
from cutplan.pattern.job import Job
from cutplan.texts import ENGLISH, Reader

if TYPE_CHECKING:
    from cutplan.cutting.result import CutPlan


def path_map(job: Job, plan: CutPlan, upto: int | None = None, read: Reader = ENGLISH) -> Figure:
    """Return the path in the plate's coordinates, as the cutting trade draws it.

    Parameters
    ----------
    job : Job
        The job.
    plan : CutPlan
        Paths in order.
    upto : int or None
        Show only the first so many cuts; None: all.
    read : Reader
        Who reads the words.
    """
    from cutplan.cutting.pictures.figures import path_figure

    return path_figure(plan, upto=upto, read=read)
