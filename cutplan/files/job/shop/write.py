"""Write one measurement into a shop file: the rest of it, the user's comments too, stays letter by letter.

The new text is read back before anybody writes it: what :func:`~cutplan.files.job.shop.read.read_shop` would refuse is
refused here, and the old file stays.
"""

from __future__ import annotations

import tomllib
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Table

from cutplan.errors import JobError
from cutplan.files.job.declared.shop import SHOP
from cutplan.files.job.shop.read import shop_from
from cutplan.pattern.shop import HolesMeasured, KerfMeasured, PrinterScale, WeldMeasured
from cutplan.texts import say

Measured = PrinterScale | KerfMeasured | HolesMeasured | WeldMeasured

_HEAD = "# What this shop's printer, torch and welder really do. Written by `cutplan coupon`; edit it if you like.\n"
_START = _HEAD + 'units = "mm"\n'


def updated(text: str, measured: Measured, name: str = "shop.toml") -> str:
    """Return a shop file's text with one measurement replaced or added.

    Parameters
    ----------
    text : str
        The file as it is; empty for a new one.
    measured : PrinterScale, KerfMeasured, HolesMeasured or WeldMeasured
        What was learnt; it replaces that of the same printer, or of the same process and thickness.
    name : str
        Name of the file for messages.

    Raises
    ------
    JobError
        When the file, or what it would become, cannot be read; nothing is lost then.
    """
    try:
        document = tomlkit.parse(text.removeprefix("\ufeff") or _START)
    except (TOMLKitError, ValueError):
        raise JobError(say("the shop file is not valid TOML"), name, say("mend it, or move it away")) from None
    table, same, values = _entry(measured, str(document.get("units", "mm")))
    entries = document.get(table)
    if entries is None:
        entries = tomlkit.aot()
        document.append(table, entries)
    if not isinstance(entries, AoT):
        raise JobError(say("is not a list of tables"), f"{name}, {table}", say("mend it, or move it away"))
    found = next((e for e in entries if same(dict(e))), None)
    if found is None:
        entries.append(_fresh(table, values))
    else:
        found.pop("sure", None)
        for key, value in values.items():
            found[key] = value
    new = tomlkit.dumps(document)
    _read_back(new, measured, name)
    return new


def _read_back(text: str, measured: Measured, name: str) -> None:
    """See that the new text is read, and gives what was learnt."""
    try:
        shop = shop_from(tomllib.loads(text), name)
    except (tomllib.TOMLDecodeError, JobError) as error:
        raise JobError(
            say("the shop file would not be read any more; it stays as it was"), name, str(error).splitlines()[0]
        ) from None
    if measured not in (*shop.printers, *shop.kerfs, *shop.holes, *shop.welds):
        raise JobError(
            say("the shop file would hold another value than was measured; it stays as it was"),
            name,
            say("check the name and the readings"),
        )


def _fresh(table: str, values: dict[str, Any]) -> Table:
    entry = tomlkit.table()
    for key, value in values.items():
        entry.add(key, value)
        item = entry.value.item(key)
        declared = SHOP[table][key]
        if declared.offer is not None and hasattr(item, "comment"):
            item.comment(str(declared.help))
    return entry


def _entry(m: Measured, units: str) -> tuple[str, Any, dict[str, Any]]:
    """Return the table, a test for the entry that it replaces, and its keys; lengths carry their unit in an inch file."""

    def length(value_mm: float) -> Any:
        return float(value_mm) if units == "mm" else f"{value_mm!r} mm"

    if isinstance(m, PrinterScale):
        values: dict[str, Any] = {"name": m.name, "x": m.x, "y": m.y, "skew_rad": m.skew_rad}
        values |= {"reading": length(m.reading_mm), "length": length(m.length_mm)}
        return "printer", lambda e: e.get("name", "default") == m.name, values
    if isinstance(m, KerfMeasured):
        values = {"process": m.process, "thickness": length(m.thickness_mm), "x": length(m.x_mm), "y": length(m.y_mm)}
        values |= {"reading": length(m.reading_mm)} | ({"sure": True} if m.sure else {})
        return "kerf", lambda e: _like(e, m.process, m.thickness_mm, units), values
    if isinstance(m, HolesMeasured):
        values = {"process": m.process, "thickness": length(m.thickness_mm), "reading": length(m.reading_mm)}
        values |= {"diameters": [length(v) for v in m.diameters_mm], "kerfs": [length(v) for v in m.kerfs_mm]}
        values |= {"tapers_deg": list(m.tapers_deg)}
        return "holes", lambda e: _like(e, m.process, m.thickness_mm, units), values
    values = {"process": m.process, "thickness": length(m.thickness_mm), "shrink": m.shrink}
    values |= {"shrink_spread": m.shrink_spread, "angle": m.angle, "angle_spread": m.angle_spread}
    return "weld", lambda e: _like(e, m.process, m.thickness_mm, units), values


def _like(entry: dict[str, Any], process: str, thickness_mm: float, units: str) -> bool:
    from cutplan.errors import CutplanError
    from cutplan.units import parse_length

    try:
        there_mm = parse_length(entry.get("thickness", 0), "in" if units == "in" else "mm")
    except CutplanError:
        return False
    return entry.get("process") == process and abs(there_mm - thickness_mm) < 1e-6
