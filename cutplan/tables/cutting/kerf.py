"""Kerf when nobody has measured it: a wide band from published charts that disagree with each other."""

from __future__ import annotations

import itertools

from cutplan.errors import CutplanError
from cutplan.tables.band import Band
from cutplan.tables.cutting.cut_process import PROCESSES
from cutplan.tables.cutting.cut_sources import source_text
from cutplan.texts import Message, code, every, inch_or_mm, number, say

#: Plasma, mild steel: middle of the current range [A], least and largest kerf [mm] (source key: course-kerf).
PLASMA_COURSE: tuple[tuple[float, float, float], ...] = ((27.5, 1.27, 1.52), (45.0, 1.65, 2.03), (72.5, 2.03, 2.79))
#: Measured with a plain nozzle at 110 to 130 A [mm] (source key: measured-kerf).
PLASMA_MEASURED = (0.98, 1.78)
#: Job-shop guide, any current [mm] (source key: jobshop).
PLASMA_JOBSHOP = (1.27, 2.54)
#: Service guide, any current [mm] (source key: service).
PLASMA_SERVICE = (1.5, 3.5)
#: Thickness [mm] up to which a current [A] is chosen when the job names none (source key: chart-memory).
PLASMA_CURRENT: tuple[tuple[float, float], ...] = ((2.0, 30.0), (6.0, 45.0), (10.0, 65.0), (16.0, 85.0), (160.0, 105.0))
#: Current [A] that cuts a thickness [mm] at 10 in/min with a hand torch (source key: rated-current).
RATED_CURRENT: tuple[tuple[float, float], ...] = (
    (3.175, 12.0),
    (9.525, 27.0),
    (12.7, 40.0),
    (15.875, 50.0),
    (22.225, 55.0),
)
#: Least, middle and largest kerf [mm] by process (source key: kerf-memory).
OTHER: dict[str, tuple[float, float, float]] = {
    key: facts.kerf_mm for key, facts in PROCESSES.items() if facts.kerf_mm is not None
}
#: Wobble of a cut-off disc added to its thickness [mm] (source key: kerf-memory).
DISC_WOBBLE = (0.1, 0.25, 0.4)


def plasma_current_A(thickness_mm: float) -> float:
    """Return the plasma current usually chosen for a thickness, from memory.

    Parameters
    ----------
    thickness_mm : float
        Plate thickness [mm]

    Returns
    -------
    float
        Current [A].
    """
    return next((amps for limit, amps in PLASMA_CURRENT if thickness_mm <= limit), PLASMA_CURRENT[-1][1])


def rated_current_A(thickness_mm: float) -> float | None:
    """Return the least current that cuts a thickness at 10 in/min by hand [1]_; None beyond the printed list.

    Parameters
    ----------
    thickness_mm : float
        Plate thickness [mm]

    Returns
    -------
    float or None
        Current [A], interpolated; below 3.2 mm in proportion to thickness.

    References
    ----------
    .. [1] Source key ``rated-current``.
    """
    t0, a0 = RATED_CURRENT[0]
    if thickness_mm <= t0:
        return a0 * thickness_mm / t0
    for (t0, a0), (t1, a1) in itertools.pairwise(RATED_CURRENT):
        if thickness_mm <= t1:
            return a0 + (a1 - a0) * (thickness_mm - t0) / (t1 - t0)
    return None


def kerf_band(process: str, thickness_mm: float, current_A: float | None = None, disc_mm: float = 1.0) -> Band:
    """Return what published charts say the kerf may be; only a stand-in until a trial cut is measured.

    Parameters
    ----------
    process : str
        Cutting process of the job.
    thickness_mm : float
        Plate thickness [mm]
    current_A : float or None
        Plasma current [A]; None: the usual one for the thickness
    disc_mm : float
        Thickness of the cut-off disc [mm]

    Returns
    -------
    Band
        Kerf [mm]. Plasma: middle of the course slide for the current, ends from the widest of the course slide
        and the job-shop guide [1]_ [2]_; above 80 A the rival sources [3]_ [4]_ set the ends. Others from memory.

    Raises
    ------
    CutplanError
        When the process is unknown.

    References
    ----------
    .. [1] Source key ``course-kerf``.
    .. [2] Source key ``jobshop``.
    .. [3] Source key ``measured-kerf``.
    .. [4] Source key ``service``.
    """
    if process == "air plasma":
        return _plasma(current_A if current_A is not None else plasma_current_A(thickness_mm))
    if process == "cut-off disc":
        low, mid, high = (disc_mm + w for w in DISC_WOBBLE)
        return Band(low, mid, high, "mm", _disc_source(disc_mm))
    if process not in OTHER:
        raise CutplanError(
            say("no kerf is known for {process}", process=code(repr(process))),
            hint=say("use one of {known}", known=every(PROCESSES)),
        )
    return Band(*OTHER[process], "mm", source_text("kerf-memory"))


def course_kerf_mm(current_A: float) -> tuple[float, float]:
    """Return the least and largest plasma kerf on mild steel by current, from a training course [1]_.

    Parameters
    ----------
    current_A : float
        Plasma current, 25 to 80; held at the ends beyond that [A]

    Returns
    -------
    tuple of float
        Least and largest kerf, interpolated between the middles of the slide's current ranges [mm].

    References
    ----------
    .. [1] Source key ``course-kerf``.
    """
    rows = PLASMA_COURSE
    current = min(max(current_A, rows[0][0]), rows[-1][0])
    k = next(i for i in range(1, len(rows)) if current <= rows[i][0])
    (a0, l0, h0), (a1, l1, h1) = rows[k - 1], rows[k]
    part = (current - a0) / (a1 - a0)
    return l0 + part * (l1 - l0), h0 + part * (h1 - h0)


def _disc_source(disc_mm: float) -> Message:
    return say(
        "disc of {disc} and its wobble, {source}",
        disc=inch_or_mm(disc_mm, None),
        source=source_text("kerf-memory"),
    )


def _plasma(current_A: float) -> Band:
    if current_A > 80.0:
        low, high = PLASMA_MEASURED[0], PLASMA_SERVICE[1]
        text = source_text("measured-kerf", "service", "chart-memory")
        source = say("{current}: {sources}; they disagree widely", current=number(current_A, "A"), sources=text)
        return Band(low, 2.3, high, "mm", source)
    low, high = course_kerf_mm(current_A)
    return Band(
        min(low, PLASMA_JOBSHOP[0]),
        0.5 * (low + high),
        max(high, PLASMA_JOBSHOP[1]),
        "mm",
        say(
            "{current}: {source}; ends also {other}",
            current=number(current_A, "A"),
            source=source_text("course-kerf"),
            other=source_text("jobshop"),
        ),
    )
