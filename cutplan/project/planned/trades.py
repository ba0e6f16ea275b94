"""The four planners by name, each with the parts of a job that its plan does not depend on."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from cutplan.pattern.job import Job
from cutplan.pattern.shop import Shop
from cutplan.pattern.wishes import Cutting, Marks, PaperWish
from cutplan.project.planned.fingerprint import checksum_of

#: The trades in the order of the work.
TRADES = ("templates", "cut", "opening", "weld")

#: Parts of a job that only its documents read, with what stands for them in a checksum.
_PRINTED: dict[str, Any] = {"shown.language": "en", "shown.symbols": "ISO", "origin.findings": ()}
#: Parts of a job that tell people about it and that no plan reads.
_TOLD: dict[str, Any] = {"about.date": "", "about.area": "", "about.note": ""}
#: Parts that only paper templates are made from.
_PAPER: dict[str, Any] = {"paper": PaperWish(), "beside.wraps": (), "beside.flanges": ()}
#: Parts that a trade's plan does not read either; a test gives each trade a job without them.
_UNREAD: dict[str, dict[str, Any]] = {
    "templates": {"cutting": Cutting()},
    "cut": _PAPER | _TOLD,
    "opening": _PAPER | _TOLD | {"marks": Marks()},
    "weld": _PAPER | _TOLD,
}


def unread(trade: str) -> dict[str, Any]:
    """Return the parts of a job that a trade's plan does not depend on, by path, with what stands for them."""
    return _UNREAD[trade] | ({} if trade == "templates" else _PRINTED)


def with_parts(job: Job, parts: Mapping[str, Any]) -> Job:
    """Return a job with other parts, each named by its path such as ``paper`` or ``shown.language``."""
    for path, part in parts.items():
        record, _, field = path.rpartition(".")
        new = replace(getattr(job, record), **{field: part}) if record else part
        job = replace(job, **{record or field: new})
    return job


def plan_key(trade: str, job: Job, shop: Shop) -> str:
    """Return the checksum of the program and of everything that a trade's plan depends on.

    Every part of a job and shop file is written out by its own ``repr``, in which each number is exact.
    """
    read = with_parts(job, unread(trade))
    return checksum_of(trade.encode(), repr(read).encode(), repr(shop).encode())


def plan(trade: str, job: Job, shop: Shop) -> Any:
    """Return the plan of one trade.

    Raises
    ------
    CutplanError
        When it cannot be made.
    """
    return _PLANNERS[trade](job, shop)


def _templates(job: Job, shop: Shop) -> Any:
    from cutplan.templates.plan import plan_templates

    return plan_templates(job, shop)


def _cut(job: Job, shop: Shop) -> Any:
    from cutplan.cutting.plan import plan_cut
    from cutplan.errors import CutplanError
    from cutplan.welding.stitches.stitch_ends import stitch_ends

    try:
        starts = stitch_ends(job)
    except CutplanError:  # told by the weld plan
        starts = ()
    return plan_cut(job, shop, avoid=starts)


def _opening(job: Job, shop: Shop) -> Any:
    from cutplan.opening.plan import plan_opening

    return plan_opening(job, shop)


def _weld(job: Job, shop: Shop) -> Any:
    from cutplan.welding.plan import plan_weld

    return plan_weld(job, shop)


_PLANNERS: dict[str, Callable[[Job, Shop], Any]] = {
    "templates": _templates,
    "cut": _cut,
    "opening": _opening,
    "weld": _weld,
}
