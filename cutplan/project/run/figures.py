"""The figures of a job that matter most, one line for each trade that was planned, out of its summary."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from cutplan.tables.welding.order_names import order_name
from cutplan.texts import Message, mm, name, plural, say


def figures(told: Mapping[str, Any]) -> tuple[Message, ...]:
    """Return the closing lines of a run.

    Parameters
    ----------
    told : mapping
        The summary, as made now or as read from ``summary.json``.
    """
    lines = []
    templates, cut, weld = told["templates"], told["cut"], told["weld"]
    if templates is not None:
        lines.append(
            say(
                "templates  {sheets} of {paper}",
                sheets=plural("{count} sheet", "{count} sheets", templates["pages"]),
                paper=name(templates["paper"]),
            )
        )
    if cut is not None:
        lines.append(
            say(
                "cut        {length}, {pierces}, {drilled} to drill",
                length=mm(cut["path_length_mm"], 0),
                pierces=plural("{count} pierce", "{count} pierces", cut["pierces"]),
                drilled=plural("{count} hole", "{count} holes", len(cut["drilled_not_cut"])),
            )
        )
    if weld is not None:
        lines.append(
            say(
                "weld       {length}, order: {order}", length=mm(weld["length_mm"], 0), order=order_name(weld["chosen"])
            )
        )
    return tuple(lines)
