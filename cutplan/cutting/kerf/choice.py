"""Which kerf to use: measured by the shop, stated in the job, or a published band with a warning."""

from __future__ import annotations

from cutplan.cutting.result import Kerf
from cutplan.errors import JobError
from cutplan.findings import Finding
from cutplan.pattern.checks.check_kerf import how_to_measure
from cutplan.pattern.job import Job
from cutplan.pattern.shop import KerfMeasured, Shop
from cutplan.tables.band import Band
from cutplan.tables.cutting.cut_process import PROCESSES, process_word
from cutplan.tables.cutting.iso9013 import SCOPE_MM
from cutplan.tables.cutting.kerf import kerf_band, plasma_current_A, rated_current_A
from cutplan.texts import inch_or_mm, mm, name, number, say, sourced, span

#: Spread taken for a kerf stated in the job without a measurement [mm] (our own choice).
STATED_SPREAD_MM = 0.2
#: Difference between the axes of a table that deserves a look [mm] (our own choice).
AXES_MM = 0.15
#: Largest kerf that makes sense [mm].
LARGEST_MM = 10.0


def choose_kerf(job: Job, shop: Shop) -> tuple[Kerf, tuple[Finding, ...]]:
    """Return the kerf for the job's process and thickness, and what must be said about it.

    A kerf measured by the shop goes first, then the job's own figure, then the cited table, which is only a stand-in
    and always warned about.

    Parameters
    ----------
    job : Job
        Process, thickness and perhaps a stated kerf.
    shop : Shop
        Measured kerfs.

    Returns
    -------
    (Kerf, findings)

    Raises
    ------
    JobError
        When the stated kerf is negative or beyond 10 mm.
    """
    stated = job.cutting.kerf_mm
    if stated is not None and not 0.0 < stated <= LARGEST_MM:
        raise JobError(
            say("a kerf of {kerf} cannot be", kerf=mm(stated, None)),
            where="cutting.kerf",
            hint=how_to_measure(job),
        )
    findings = _current_findings(job)
    measured = shop.kerf(job.cutting.process, job.plate.thickness_mm)
    if measured is not None:
        kerf, more = _measured(measured, job, shop)
    elif stated is not None:
        kerf, more = _stated(job, stated)
    else:
        kerf, more = _listed(job)
    return kerf, (*findings, *more)


def _measured(measured: KerfMeasured, job: Job, shop: Shop) -> tuple[Kerf, list[Finding]]:
    """The kerf of this shop, and what differs from it."""
    stated = job.cutting.kerf_mm
    findings: list[Finding] = []
    low = min(measured.x_mm, measured.y_mm) - measured.reading_mm
    high = max(measured.x_mm, measured.y_mm) + measured.reading_mm
    source = say(
        "measured, {shop}: {process}, {thickness}",
        shop=name(shop.source) if shop.source else say("shop file"),
        process=process_word(measured.process),
        thickness=inch_or_mm(measured.thickness_mm, None),
    )
    band = Band(low, measured.mean_mm, high, "mm", source)
    if abs(measured.x_mm - measured.y_mm) > AXES_MM:
        findings.append(
            Finding(
                "kerf-differs-by-axis",
                "warning",
                say(
                    "the kerf measured along x ({x}) and y ({y}) differs; the mean of {mean} is used",
                    x=mm(measured.x_mm, 2),
                    y=mm(measured.y_mm, 2),
                    mean=mm(measured.mean_mm, 2),
                ),
                where=shop.source,
                fix=say("check that the torch stands square and the nozzle is round, then cut a new trial piece"),
            )
        )
    if stated is not None and abs(stated - measured.mean_mm) > max(measured.reading_mm, 0.02):
        findings.append(
            Finding(
                "two-kerfs",
                "warning",
                say(
                    "the job says a kerf of {stated}, the shop measured {measured}; the measured one is used",
                    stated=mm(stated, None),
                    measured=mm(measured.mean_mm, 2),
                ),
                where="cutting.kerf",
                fix=say("take the kerf out of the job file, or measure again"),
            )
        )
    return Kerf(measured.mean_mm, band, "shop", measured.x_mm, measured.y_mm), findings


def _stated(job: Job, stated: float) -> tuple[Kerf, list[Finding]]:
    """The job's own kerf [mm], which no trial piece confirms."""
    low = max(0.0, stated - STATED_SPREAD_MM)
    band = Band(low, stated, stated + STATED_SPREAD_MM, "mm", say("stated in the job, no trial piece known"))
    finding = Finding(
        "kerf-not-measured",
        "note",
        say(
            "the kerf of {kerf} comes from the job file; no trial piece of this shop confirms it",
            kerf=mm(stated, None),
        ),
        where="cutting.kerf",
        fix=how_to_measure(job),
    )
    return Kerf(stated, band, "job", stated, stated), [finding]


def _listed(job: Job) -> tuple[Kerf, list[Finding]]:
    """The middle of a published band, which stands in until a trial piece is cut."""
    cutting, thickness_mm = job.cutting, job.plate.thickness_mm
    band = kerf_band(cutting.process, thickness_mm, cutting.current_A, job.opening.disc_thickness_mm)
    value = round(band.mid, 2)
    half = 0.5 * max(band.high - value, value - band.low)
    finding = Finding(
        "kerf-from-table",
        "warning",
        say(
            "the kerf of {kerf} is only a table value (published: {published}), so an edge may lie {edge} off and a "
            "hole or width {width} off",
            kerf=mm(value, 2),
            published=span(band.low, band.high, digits=2),
            edge=mm(half, 2),
            width=mm(2.0 * half, 2),
        ),
        where=say(
            "{process}, {thickness}; {source}",
            process=process_word(cutting.process),
            thickness=inch_or_mm(thickness_mm, None),
            source=sourced(band.source),
        ),
        fix=how_to_measure(job),
    )
    return Kerf(value, Band(band.low, value, band.high, "mm", band.source), "table", value, value), [finding]


def _current_findings(job: Job) -> tuple[Finding, ...]:
    cutting, thickness_mm = job.cutting, job.plate.thickness_mm
    low, high = SCOPE_MM.get(cutting.process, (0.0, float("inf")))
    if not low <= thickness_mm <= high:
        return (
            Finding(
                "thickness-unusual",
                "warning",
                say(
                    "{process} is used from {scope} (scope of ISO 9013); this plate has {thickness}",
                    process=process_word(cutting.process),
                    scope=span(low, high, digits=None),
                    thickness=mm(thickness_mm, None),
                ),
                where="plate.thickness",
                fix=say("choose another process, or try it on scrap first"),
            ),
        )
    if cutting.process != "air plasma":
        return ()
    rated = rated_current_A(thickness_mm)
    if rated is None:
        return (
            Finding(
                "thickness-beyond-list",
                "warning",
                say("no rated current is known for air plasma on {thickness}", thickness=mm(thickness_mm, None)),
                where="plate.thickness",
                fix=say("ask the maker of the power source"),
            ),
        )
    current = cutting.current_A if cutting.current_A is not None else plasma_current_A(thickness_mm)
    if current < rated:
        return (
            Finding(
                "current-too-low",
                "warning",
                say(
                    "{current} is less than the {rated} that a hand torch needs for {thickness} at 10 in/min",
                    current=number(current, "A"),
                    rated=number(rated, "A", 0),
                    thickness=mm(thickness_mm, None),
                ),
                where="cutting.current",
                fix=say("use more current, or another process"),
            ),
        )
    return ()


def is_hand(process: str) -> bool:
    """Return whether a process is led by hand along a line, without pierce and leads."""
    return PROCESSES[process].by_hand
