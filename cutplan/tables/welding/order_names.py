"""Orders of welding by the keys of the job file, and how they are called."""

from __future__ import annotations

from cutplan.texts import Message, template

#: Orders to be read; keys are those of the job file.
ORDER_NAMES: dict[str, Message] = {
    "once round": template("once round"),
    "once round, back-step": template("once round, back-step"),
    "opposite pairs": template("opposite pairs"),
    "sectors": template("sectors"),
    "skip": template("skip"),
    "ends last": template("ends last"),
    "computed order": template("computed order"),
    "opposite pairs, back-step (rule)": template("opposite pairs, back-step (rule)"),
    "as planned": template("as planned"),
}


def order_name(key: str) -> Message:
    """Return the name of an order to be read."""
    return ORDER_NAMES[key]
