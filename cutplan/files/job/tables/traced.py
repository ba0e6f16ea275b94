"""The table ``[traced]`` of a job: the pictures that its drawing comes from, and the account of errors beside it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import floor
from pathlib import Path

from cutplan.files.job.keys import Keys
from cutplan.files.traced import AccountHole, TracedAccount, account_of_drawing
from cutplan.findings import Finding
from cutplan.pattern.job import Job
from cutplan.pattern.plate import Hole
from cutplan.pattern.traced import Traced, TracedHole
from cutplan.texts import code, number, say

#: A hole of the job is the traced one when their centres lie no further apart [mm].
_SAME_PLACE_MM = 0.5
#: Most pictures of one card, lengths measured.
_MOST_PICTURES, _MOST_KNOWN = 12, 20


@dataclass(frozen=True, slots=True)
class Pictures:
    """What a job says of the pictures of its card.

    Parameters
    ----------
    names : tuple of str
        Files beside the job.
    thickness_mm : float
        Thickness of the card [mm].
    known : tuple of str
        Lengths measured between crosses, such as ``A1-D2=399.8``.
    holes : int or None
        Holes that somebody counted on the card, with the outline found before their eyes; None: nobody did.
    scan : bool
        Whether they are flatbed scans.
    printer : str
        Printer of the marks, as the shop file calls it.
    reading_mm, tolerance_mm : float or None
        Reading error of the rule, and how far the edge may lie from lines and arcs [mm]; None: as usual.
    """

    names: tuple[str, ...]
    thickness_mm: float
    known: tuple[str, ...] = ()
    holes: int | None = None
    scan: bool = False
    printer: str = ""
    reading_mm: float | None = None
    tolerance_mm: float | None = None


def read_pictures(k: Keys) -> Pictures:
    """Return what the table says; problems go to the report that ``k`` collects."""
    given = k.values()
    names, known = given["names"], given["known"]
    if len(names) > _MOST_PICTURES or any(not n or set(n) & set("/\\") or n.startswith(".") for n in names):
        k.wrong("pictures", say("the pictures lie beside the job file, {most} at most", most=_MOST_PICTURES),
                say("name the files without a folder"))  # fmt: skip
        names = ()
    for pair in known:
        if "=" not in pair or len(known) > _MOST_KNOWN:
            k.wrong("known", say("{given} is no length between two crosses", given=code(pair[:40])),
                    say("for example {example}", example=code('known = ["A1-D2=399.8"]')))  # fmt: skip
            break
    stated = Pictures(**{**given, "names": names})
    k.close()
    return stated


def apply_traced(k: Keys | None, job: Job, folder: Path) -> Job:
    """Return the job with what is known of its traced drawing; as it is when the drawing was not traced.

    Parameters
    ----------
    k : Keys or None
        The table; None: the job has none, but an account beside the drawing counts all the same.
    job : Job
        As drawn: nothing is moved yet.
    folder : Path
        The job's folder.
    """
    stated = read_pictures(k) if k is not None else None
    if k is not None and not job.origin.drawing:
        k.wrong("pictures", say("are of a drawing, but the plate comes from none"),
                say("write {this} under {table}", this=code('drawing = "plate.dxf"'), table=code("[plate]")))  # fmt: skip
    account = account_of_drawing(folder / job.origin.drawing) if job.origin.drawing else None
    if account is None:
        return (
            job
            if stated is None or not job.origin.drawing
            else replace(job, origin=replace(job.origin, findings=(*job.origin.findings, _unknown())))
        )
    found = _named(job.plate.holes, account)
    traced = Traced(
        account.scale_error,
        account.edge_error_mm,
        tuple(TracedHole(name, h.diameter_error_mm, h.place_error_mm, h.proved) for name, h in found),
        stated.names if stated is not None else (),
        account.print_scale,
    )
    findings = job.origin.findings
    if stated is not None and stated.holes != len(account.holes):
        findings = (*findings, _not_counted(stated.holes, len(account.holes)))
    return replace(job, origin=replace(job.origin, traced=traced, findings=findings))


def _named(holes: tuple[Hole, ...], account: TracedAccount) -> list[tuple[str, AccountHole]]:
    """Return the traced holes by the job's own names, in the order of the job."""
    cells: dict[tuple[int, int], list[AccountHole]] = {}
    for h in account.holes:
        cells.setdefault((floor(h.centre.x), floor(h.centre.y)), []).append(h)
    found = []
    for hole in holes:
        x, y = floor(hole.centre.x), floor(hole.centre.y)
        near = [h for dx in (-1, 0, 1) for dy in (-1, 0, 1) for h in cells.get((x + dx, y + dy), ())]
        best = min(near, key=lambda h: h.centre.distance(hole.centre), default=None)
        if best is not None and best.centre.distance(hole.centre) <= _SAME_PLACE_MM:
            found.append((hole.name, best))
    return found


def _unknown() -> Finding:
    return Finding(
        "traced-errors-unknown",
        "warning",
        say("the drawing is said to be traced, but nothing beside it tells its errors, or it was changed since"),
        "traced",
        say("trace it again: {command}", command=code("cutplan trace JOB")),
    )


def _not_counted(counted: int | None, found: int) -> Finding:
    if counted is None:
        text = say("nobody has counted the holes of the card; found: {found}", found=number(found))
    else:
        text = say("holes counted on the card: {counted}; found: {found}", counted=number(counted),
                   found=number(found))  # fmt: skip
    return Finding(
        "traced-not-counted",
        "warning" if counted is None else "error",
        text,
        "traced.holes",
        say("look at the picture of the outline found, count, and write {this}", this=code(f"holes = {found}")),
    )
