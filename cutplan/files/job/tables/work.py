"""The tables about how the work is done: cutting, opening by hand, welding, paper and marks."""

from __future__ import annotations

from dataclasses import replace

from cutplan.files.job.declared.welding import SETTINGS
from cutplan.files.job.keys import Keys
from cutplan.pattern.wishes import Cutting, Marks, OpeningWork, OwnTool, PaperWish, Welding
from cutplan.tables.by_hand.tool_bodies import SIZES
from cutplan.tables.paper import LEAST_LIVE_MM, RULER_MM, SHEETS, TITLE_MM, size_mm
from cutplan.texts import code, listed, mm, say


def read_cutting(k: Keys) -> Cutting:
    """Return how the plate is cut."""
    cutting = Cutting(**k.values())
    k.close()
    return cutting


def read_opening(k: Keys) -> OpeningWork:
    """Return how the opening is cut by hand."""
    opening = OpeningWork(**k.values(), tools=tuple(_own_tool(t) for t in k.take("own_tool")))
    k.close()
    return opening


def _own_tool(k: Keys) -> OwnTool:
    """A tool of this shop: the sizes given, middling ones for the rest."""
    name = k.take("name")
    base = SIZES[name]
    given = {field: value for field, value in k.values("name").items() if value is not None}
    k.close()
    return OwnTool(name, replace(base, source="job file", **given))


def read_welding(k: Keys) -> Welding:
    """Return how the plate is welded in."""
    if k.has("settings") and k.take("settings") != "from the table":
        k.wrong(
            "settings",
            say("is not known"),
            say("write {this}, or {keys}", this=code('settings = "from the table"'), keys=listed(SETTINGS)),
        )
    given = [k.has(key) for key in SETTINGS]
    if any(given) and not all(given):
        k.wrong(
            "current_A", say("settings must be complete"), say("give {keys}, or none of them", keys=listed(SETTINGS))
        )
    welding = Welding(**k.values("settings"))
    if welding.interpass_C <= welding.ambient_C:
        k.wrong("interpass_C", say("is not above {other}", other=code("ambient_C")), say("use 100 or more"))
    k.close()
    return welding


def read_paper(k: Keys) -> PaperWish:
    """Return the paper of the templates."""
    name = k.take("size")
    if name in SHEETS:
        width, height = size_mm(name)
    else:
        k.need("width", say("the width of the sheet or roll"))
        width = k.take("width")
        height = k.take("height") if name == "custom" else 0.0
        if name == "custom":
            k.need("height", say("the height of the sheet"))
    margin = k.take("margin")
    paper = PaperWish(name, width, height, margin, k.take("overlap"), k.take("printer"))
    strips = RULER_MM + (0.0 if name == "roll" else TITLE_MM)  # a roll is as long as it must be
    if min(width, height or width) - 2.0 * margin - strips < LEAST_LIVE_MM:
        k.wrong(
            "margin",
            say("leaves less than {least} for the template beside rulers and title", least=mm(LEAST_LIVE_MM, 0)),
            say("use a smaller margin or larger paper"),
        )
    k.close()
    return paper


def read_marks(k: Keys) -> Marks:
    """Return the directions and reference lines that are printed."""
    given = k.values()
    if all(given[f"{way}_deg"] is None for way in ("forward", "up", "left")):
        given["forward_deg"] = 90.0
    lines = []
    for entry in k.take("datum"):
        lines.append((entry.take("from"), entry.take("to")))
        entry.close()
    k.close()
    return Marks(**given, datum=tuple(lines))
