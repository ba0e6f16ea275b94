"""One printed sheet: where the template may lie between rulers and title, upright or turned."""

from __future__ import annotations

from dataclasses import dataclass
from math import tan

from cutplan.errors import JobError
from cutplan.geometry.vector import Box, Point
from cutplan.pattern.wishes import PaperWish
from cutplan.tables.paper import LEAST_LIVE_MM, LEAST_MARGIN_MM, LONGEST_PAGE_MM, RULER_MM, TITLE_MM
from cutplan.templates.printed.correction import Correction
from cutplan.texts import mm, say, size

#: Middle line of a ruler, from the border of what the printer reaches [mm].
RULER_MIDDLE_MM = 4.75


@dataclass(frozen=True, slots=True)
class SheetForm:
    """A sheet in one orientation; all lengths as they lie on the printed paper [mm].

    ``reach`` is what the printer can put ink on, ``live`` the room for the template; both in sheet coordinates with
    the origin at the lower left corner of the paper. ``correct`` is the printer's correction in this orientation.
    """

    width_mm: float
    height_mm: float
    turned: bool
    reach: Box
    live: Box
    correct: Correction
    rolls: bool = False

    @property
    def centre(self) -> Point:
        return Point(0.5 * self.width_mm, 0.5 * self.height_mm)

    @property
    def name(self) -> str:
        """``portrait``, ``landscape`` or ``roll``."""
        if self.rolls:
            return "roll"
        return "landscape" if self.width_mm > self.height_mm else "portrait"


def sheet_forms(wish: PaperWish, correct: Correction) -> tuple[SheetForm, ...]:
    """Return the orientations a sheet can be used in: upright first, then turned; a roll has one.

    Raises
    ------
    JobError
        When sheet, border and strips leave less than 60 mm for the template.
    """
    if wish.margin_mm < LEAST_MARGIN_MM:
        raise JobError(
            say("a border of {border} is less than printers reach", border=mm(wish.margin_mm, None)),
            "paper.margin",
            say("use {least} or more", least=mm(LEAST_MARGIN_MM, None)),
        )
    if wish.name == "roll" or wish.height_mm <= 0.0:
        return (_form(wish.width_mm, LONGEST_PAGE_MM, wish.margin_mm, correct, turned=False, rolls=True),)
    upright = _form(wish.width_mm, wish.height_mm, wish.margin_mm, correct, turned=False)
    if wish.width_mm == wish.height_mm:
        return (upright,)
    return upright, _form(wish.height_mm, wish.width_mm, wish.margin_mm, correct.turned(), turned=True)


def shortened(form: SheetForm, live_height_mm: float) -> SheetForm:
    """Return a roll's sheet cut to the length that its content needs [mm]; other sheets are returned as they are."""
    if not form.rolls:
        return form
    spare = form.live.height - max(live_height_mm, LEAST_LIVE_MM)
    reach, live = form.reach, form.live
    return SheetForm(
        form.width_mm,
        form.height_mm - spare,
        form.turned,
        Box(reach.xmin, reach.ymin, reach.xmax, reach.ymax - spare),
        Box(live.xmin, live.ymin, live.xmax, live.ymax - spare),
        form.correct,
        True,
    )


def _form(
    width: float, height: float, margin: float, correct: Correction, *, turned: bool, rolls: bool = False
) -> SheetForm:
    # the drawn sheet ends at the border; what is drawn there lands at border * scale, and a skew leans it sideways
    lean = 0.5 * height * abs(tan(correct.skew_rad))
    half_x = (0.5 * width - margin) * min(1.0, correct.x) - lean
    half_y = (0.5 * height - margin) * min(1.0, correct.y)
    reach = Box(0.5 * width - half_x, 0.5 * height - half_y, 0.5 * width + half_x, 0.5 * height + half_y)
    live = Box(reach.xmin + RULER_MM, reach.ymin + RULER_MM, reach.xmax, reach.ymax - TITLE_MM)
    if min(live.width, live.height) < LEAST_LIVE_MM:
        raise JobError(
            say(
                "a sheet of {sheet} leaves {room} for the template",
                sheet=size(width, height, digits=None),
                room=size(live.width, live.height, digits=0),
            ),
            "paper",
            say("use a sheet that leaves at least {least} both ways", least=mm(LEAST_LIVE_MM, None)),
        )
    return SheetForm(width, height, turned, reach, live, correct, rolls)
