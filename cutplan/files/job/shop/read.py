"""Shop file (TOML): read it, find it, and write measurements back into it without losing what was there."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

from cutplan.files.job.declared.shop import SHOP
from cutplan.files.job.keys import Keys
from cutplan.files.job.problems import Problems, shortened
from cutplan.files.job.shop.place import SHOP_FILE, find_shop, user_folder
from cutplan.files.job.toml import read_toml
from cutplan.pattern.shop import HolesMeasured, KerfMeasured, PrinterScale, Shop, WeldMeasured
from cutplan.texts import code, say
from cutplan.texts import name as named

__all__ = ["SHOP_FILE", "find_shop", "quoted", "read_shop", "shop_from", "user_folder"]

_Record = TypeVar("_Record")


def read_shop(path: Path) -> Shop:
    """Return the measurements of a shop file.

    Raises
    ------
    JobError
        With every problem of the file, each with its key path.
    """
    return shop_from(read_toml(path, "shop"), path.name)


def shop_from(data: dict[str, Any], name: str) -> Shop:
    """Return the measurements in parsed TOML data."""
    problems = Problems(name)
    unit = data.get("units", "mm")
    if unit not in ("mm", "in"):
        problems.add(
            "units",
            say("{value} is not known", value=named(shortened(unit))),
            say("write {this} or {that}", this=code('units = "mm"'), that=code('units = "in"')),
        )
        unit = "mm"
    top = Keys(data, "", problems, unit, SHOP)
    top.has("units")
    shop = Shop(
        source=name,
        name=top.take("name"),
        printers=tuple(_read(PrinterScale, k) for k in top.take("printer")),
        kerfs=tuple(_read(KerfMeasured, k) for k in top.take("kerf")),
        welds=tuple(_read(WeldMeasured, k) for k in top.take("weld")),
        holes=tuple(_holes(k) for k in top.take("holes")),
    )
    top.close()
    problems.raise_if_any()
    return shop


def _read(kind: Callable[..., _Record], k: Keys) -> _Record:
    """Return what one table says, in its record."""
    record = kind(**k.values())
    k.close()
    return record


def _holes(k: Keys) -> HolesMeasured:
    holes = _read(HolesMeasured, k)
    if not k.has("tapers_deg"):
        holes = replace(holes, tapers_deg=(0.0,) * len(holes.diameters_mm))
    if len(holes.diameters_mm) == len(holes.kerfs_mm) == len(holes.tapers_deg):
        return holes
    k.wrong(
        "kerfs", say("diameters, kerfs and tapers_deg are not of one length"), say("give one of each for each hole")
    )
    return replace(holes, diameters_mm=(), kerfs_mm=(), tapers_deg=())


def quoted(text: str) -> str:
    """Return a text as a TOML string."""
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
