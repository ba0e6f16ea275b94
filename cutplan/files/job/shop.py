"""Shop file (TOML): read it, find it, and write measurements back into it without losing what was there."""

from __future__ import annotations

import os
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

from cutplan.files.job.keys import Keys
from cutplan.files.job.problems import Problems, shortened
from cutplan.files.job.toml import read_toml
from cutplan.pattern.shop import KerfMeasured, PrinterScale, Shop, WeldMeasured
from cutplan.texts import code, say
from cutplan.texts import name as named

SHOP_FILE = "shop.toml"


def user_folder() -> Path:
    """Return the user's configuration folder for cutplan (``CUTPLAN_CONFIG`` overrides it)."""
    if os.environ.get("CUTPLAN_CONFIG"):
        return Path(os.environ["CUTPLAN_CONFIG"])
    if sys.platform == "win32" and os.environ.get("APPDATA"):
        return Path(os.environ["APPDATA"]) / "cutplan"
    if os.environ.get("XDG_CONFIG_HOME"):
        return Path(os.environ["XDG_CONFIG_HOME"]) / "cutplan"
    return Path.home() / ".config" / "cutplan"


def find_shop(job_folder: Path) -> Path | None:
    """Return the shop file beside the job, else in the user's configuration folder, else None."""
    for folder in (job_folder, user_folder()):
        if (folder / SHOP_FILE).is_file():
            return folder / SHOP_FILE
    return None


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
    )
    k.close()
    return kerf


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


def with_printer(shop: Shop, scale: PrinterScale) -> Shop:
    """Return the shop with one printer's calibration replaced or added."""
    return replace(shop, printers=(*(p for p in shop.printers if p.name != scale.name), scale))


def with_kerf(shop: Shop, kerf: KerfMeasured) -> Shop:
    """Return the shop with the kerf of one process and thickness replaced or added."""
    same = (kerf.process, kerf.thickness_mm)
    return replace(shop, kerfs=(*(k for k in shop.kerfs if (k.process, k.thickness_mm) != same), kerf))


def with_weld(shop: Shop, weld: WeldMeasured) -> Shop:
    """Return the shop with the weld trial of one process and thickness replaced or added."""
    same = (weld.process, weld.thickness_mm)
    return replace(shop, welds=(*(w for w in shop.welds if (w.process, w.thickness_mm) != same), weld))


def shop_text(shop: Shop) -> str:
    """Return the shop file as TOML text that :func:`read_shop` reads back to the same values."""
    lines = [
        "# What this shop's printer, torch and welder really do. Written by `cutplan coupon`; edit it if you like.",
        'units = "mm"',
        f"name = {quoted(shop.name)}",
    ]
    for p in shop.printers:
        lines += [
            "",
            "[[printer]]",
            f"name = {quoted(p.name)}",
            f"x = {p.x!r}    # printed length over nominal length",
            f"y = {p.y!r}",
            f"skew_rad = {p.skew_rad!r}",
            f"reading = {p.reading_mm!r}    # reading error [mm]",
            f"length = {p.length_mm!r}    # nominal length measured [mm]",
        ]
    for k in shop.kerfs:
        lines += [
            "",
            "[[kerf]]",
            f"process = {quoted(k.process)}",
            f"thickness = {k.thickness_mm!r}",
            f"x = {k.x_mm!r}    # kerf measured across x [mm]",
            f"y = {k.y_mm!r}",
            f"reading = {k.reading_mm!r}",
        ]
    for w in shop.welds:
        lines += [
            "",
            "[[weld]]",
            f"process = {quoted(w.process)}",
            f"thickness = {w.thickness_mm!r}",
            f"shrink = {w.shrink!r}    # measured over predicted shrinkage",
            f"shrink_spread = {w.shrink_spread!r}",
            f"angle = {w.angle!r}    # measured over predicted angle",
            f"angle_spread = {w.angle_spread!r}",
        ]
    return "\n".join(lines) + "\n"


def quoted(text: str) -> str:
    """Return a text as a TOML string."""
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
