"""Shop file (TOML): read it, find it, and write measurements back into it without losing what was there."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from cutplan.files.job.keys import Keys
from cutplan.files.job.problems import Problems, shortened
from cutplan.files.job.shop.place import SHOP_FILE, find_shop, user_folder
from cutplan.files.job.toml import read_toml
from cutplan.pattern.shop import HolesMeasured, KerfMeasured, PrinterScale, Shop, WeldMeasured
from cutplan.texts import code, say
from cutplan.texts import name as named

__all__ = ["SHOP_FILE", "find_shop", "quoted", "read_shop", "shop_from", "user_folder"]


def read_shop(path: Path) -> Shop:
    """Return the measurements of a shop file.

    Raises
    ------
    JobError
        With every problem of the file, each with its key path.
    """
    return shop_from(read_toml(path), path.name)


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
    top = Keys(data, "", problems, unit)
    top.has("units")
    shop = Shop(
        source=name,
        name=top.text("name", "", 80),
        printers=tuple(_printer(k) for k in top.tables("printer", 200)),
        kerfs=tuple(_kerf(k) for k in top.tables("kerf", 500)),
        welds=tuple(_weld(k) for k in top.tables("weld", 500)),
        holes=tuple(_holes(k) for k in top.tables("holes", 500)),
    )
    top.close()
    problems.raise_if_any()
    return shop


def _printer(k: Keys) -> PrinterScale:
    scale = PrinterScale(
        name=k.text("name", "default", 40),
        x=k.number("x", 1.0, 0.9, 1.1),
        y=k.number("y", 1.0, 0.9, 1.1),
        skew_rad=k.number("skew_rad", 0.0, -0.05, 0.05, "rad"),
        reading_mm=k.length("reading", 0.25, 0.0, 5.0),
        length_mm=k.length("length", 0.0),
    )
    k.close()
    return scale


def _kerf(k: Keys) -> KerfMeasured:
    kerf = KerfMeasured(
        process=k.text("process", "", 40),
        thickness_mm=k.length("thickness", 0.0, 0.1, 100.0),
        x_mm=k.length("x", 0.0, 0.01, 12.0),
        y_mm=k.length("y", 0.0, 0.01, 12.0),
        reading_mm=k.length("reading", 0.05, 0.0, 2.0),
        sure=k.flag("sure"),
    )
    k.close()
    return kerf


def _holes(k: Keys) -> HolesMeasured:
    diameters, kerfs = k.lengths("diameters", 0.1), k.lengths("kerfs", 0.01)
    tapers = k.numbers("tapers_deg", -45.0, 45.0) if k.has("tapers_deg") else (0.0,) * len(diameters)
    if not len(diameters) == len(kerfs) == len(tapers):
        k.wrong(
            "kerfs", say("diameters, kerfs and tapers_deg are not of one length"), say("give one of each for each hole")
        )
        diameters = kerfs = tapers = ()
    holes = HolesMeasured(
        process=k.text("process", "", 40),
        thickness_mm=k.length("thickness", 0.0, 0.1, 100.0),
        diameters_mm=diameters,
        kerfs_mm=kerfs,
        tapers_deg=tapers,
        reading_mm=k.length("reading", 0.05, 0.0, 2.0),
    )
    k.close()
    return holes


def _weld(k: Keys) -> WeldMeasured:
    weld = WeldMeasured(
        process=k.text("process", "", 40),
        thickness_mm=k.length("thickness", 0.0, 0.1, 100.0),
        shrink=k.number("shrink", 1.0, 0.05, 10.0),
        shrink_spread=k.number("shrink_spread", 0.5, 0.0, 3.0),
        angle=k.number("angle", 1.0, 0.0, 20.0),
        angle_spread=k.number("angle_spread", 1.0, 0.0, 5.0),
    )
    k.close()
    return weld


def quoted(text: str) -> str:
    """Return a text as a TOML string."""
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
