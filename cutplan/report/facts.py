"""Every figure of a job in one list, each with unit, band and source: what the report's table reads."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from cutplan.sheets.plate.parts import plate_mass_kg
from cutplan.sheets.results import Results
from cutplan.tables.band import Band
from cutplan.tables.steel import CARBON_STEEL
from cutplan.texts import Reader
from cutplan.texts.by_id import told
from cutplan.units import MM_PER_INCH, inch_text

#: Decimals shown by unit; what is not listed gets two.
_DIGITS = {
    "mm": 1,
    "mm2": 0,
    "kg": 2,
    "s": 0,
    "min": 0,
    "A": 0,
    "V": 1,
    "mm/s": 1,
    "mm/min": 0,
    "J/mm": 0,
    "1": 0,
    "degC": 0,
    "l": 0,
    "l/min": 0,
    "N": 0,
    "deg": 1,
    "%": 1,
}
#: How a unit is written for people.
UNIT_TEXT = {"mm2": "mm²", "degC": "°C", "deg": "°", "1": "", "N/mm2": "N/mm²"}


@dataclass(frozen=True, slots=True)
class Fact:
    """One figure.

    Parameters
    ----------
    key : str
        Id of its name in the catalogue, without ``fact.``; unique.
    group : str
        plate, templates, cut, opening or weld.
    label : str
        Its name in the sheet's language.
    value : float
        The figure [unit].
    unit : str
        Unit; ``1`` for a count or ratio.
    source : str
        Formula, table, measurement or standard.
    low, high : float or None
        Band [unit]; None for what is exact or measured out of the drawing.
    digits : int
        Decimals to show.
    """

    key: str
    group: str
    label: str
    value: float
    unit: str
    source: str
    low: float | None = None
    high: float | None = None
    digits: int = 1

    @property
    def number(self) -> str:
        """The value with its decimals."""
        return f"{self.value:.{self.digits}f}"

    @property
    def band(self) -> str:
        """Low to high, or nothing."""
        if self.low is None or self.high is None:
            return ""
        return f"{self.low:.{self.digits}f} – {self.high:.{self.digits}f}"

    def text(self, display: str = "mm") -> str:
        """Return number and unit, with inches first for an inch shop's lengths."""
        unit = UNIT_TEXT.get(self.unit, self.unit)
        plain = f"{self.number} {unit}".strip()
        if display == "in" and self.unit == "mm":
            return f"{inch_text(self.value)} in ({plain})"
        if display == "in" and self.unit == "mm2":
            return f"{self.value / MM_PER_INCH**2:.2f} in² ({plain})"
        return plain


def facts(results: Results, lang: str = "en") -> tuple[Fact, ...]:
    """Return all figures of the results, in the order of the work."""
    return (
        *_plate(results, lang),
        *_templates(results, lang),
        *_cut(results, lang),
        *_opening(results, lang),
        *_weld(results, lang),
    )


class _Group:
    """Collects the facts of one group."""

    def __init__(self, group: str, lang: str) -> None:
        self.group, self.lang = group, lang
        self.found: list[Fact] = []

    def one(self, name: str, value: float, unit: str, source: str, digits: int | None = None) -> None:
        shown = _DIGITS.get(unit, 2) if digits is None else digits
        key = f"{self.group}.{name}"
        self.found.append(Fact(key, self.group, told(f"fact.{key}", self.lang), value, unit, source, digits=shown))

    def band(self, name: str, band: Band, digits: int | None = None) -> None:
        shown = _DIGITS.get(band.unit, 2) if digits is None else digits
        key = f"{self.group}.{name}"
        self.found.append(
            Fact(
                key,
                self.group,
                told(f"fact.{key}", self.lang),
                band.mid,
                band.unit,
                Reader(self.lang)(band.source),
                band.low,
                band.high,
                shown,
            )
        )


def _plate(results: Results, lang: str) -> Iterable[Fact]:
    job, g = results.job, _Group("plate", lang)
    region, exact = job.plate.region, told("source.exact", lang)
    g.one("area", region.outer.area, "mm2", exact)
    g.one("net_area", region.area, "mm2", exact)
    g.one("perimeter", region.outer.length, "mm", exact)
    g.one("mass", plate_mass_kg(job), "kg", told("source.mass", lang, source=Reader(lang)(CARBON_STEEL.source)), 3)
    g.one("holes", len(job.plate.holes), "1", exact)
    g.one("thickness", job.plate.thickness_mm, "mm", told("source.job", lang))
    return g.found


def _templates(results: Results, lang: str) -> Iterable[Fact]:
    plan, g = results.templates, _Group("templates", lang)
    if plan is None:
        return ()
    paper = told("source.paper", lang)
    scale = told("source.shop", lang) if results.shop.printers else told("source.no_shop", lang)
    g.one("pages", len(plan.pages), "1", paper)
    g.one("overlap", plan.overlap_mm, "mm", told("source.job", lang))
    g.one("seams", plan.seams_through_holes, "1", paper)
    g.one("scale_x", plan.scale[0], "1", scale, 4)
    g.one("scale_y", plan.scale[1], "1", scale, 4)
    return g.found


def _cut(results: Results, lang: str) -> Iterable[Fact]:
    plan, g = results.cut, _Group("cut", lang)
    if plan is None:
        return ()
    exact = told("source.path", lang)
    g.band("kerf", plan.kerf.band, 2)
    g.one("length", plan.totals.cut_mm, "mm", exact, 0)
    g.one("rapid", plan.totals.rapid_mm, "mm", exact, 0)
    g.one("pierces", plan.totals.pierces, "1", exact)
    g.one("drilled", len(plan.drilled), "1", told("source.hole_rules", lang))
    g.band("time", plan.totals.time_s)
    g.band("speed", plan.totals.speed_mm_per_min)
    return g.found


def _opening(results: Results, lang: str) -> Iterable[Fact]:
    plan, g = results.opening, _Group("opening", lang)
    if plan is None:
        return ()
    exact = told("source.exact", lang)
    g.one("perimeter", plan.perimeter_mm, "mm", exact)
    g.one("sections", len(plan.sections), "1", told("source.opening", lang))
    g.one("cut", plan.effort.cut_mm, "mm", told("source.opening", lang), 0)
    if plan.sections:
        g.one(
            "heaviest",
            max(s.mass_kg for s in plan.sections),
            "kg",
            told("source.mass", lang, source=Reader(lang)(CARBON_STEEL.source)),
            2,
        )
    g.band("time", plan.effort.time_min)
    if plan.bracing.stiffness is not None:
        g.band("stiffness", plan.bracing.stiffness.open, 2)
        if results.job.brace is not None:
            g.band("stiffness_braced", plan.bracing.stiffness.open_braced, 2)
    return g.found


def _weld(results: Results, lang: str) -> Iterable[Fact]:
    plan, g = results.weld, _Group("weld", lang)
    if plan is None:
        return ()
    exact, s = told("source.exact", lang), plan.settings
    g.one("length", plan.length_mm, "mm", exact)
    g.one("tacks", len(plan.tacks), "1", Reader(lang)(plan.tacking.rule))
    g.one("stitches", len(plan.stitches), "1", told("source.stitch", lang))
    g.band("current", s.arc.current_A)
    g.band("voltage", s.arc.voltage_V)
    g.band("speed", s.arc.speed_mm_per_s)
    g.band("heat", plan.heat.input_J_per_mm)
    g.band("t85", plan.heat.t85_s, 1)
    g.one("metal", plan.uses.metal_kg, "kg", told("source.metal", lang), 3)
    g.band("wire", plan.uses.wire_kg, 3)
    g.band("gas", plan.uses.gas_l)
    g.one("arc_time", plan.uses.arc_time_s, "s", told("source.arc", lang))
    g.one("total_time", plan.total_time_s, "s", told("source.wait", lang))
    g.one("wait", plan.wait_s, "s", told("source.wait", lang))
    g.one("interpass", plan.heat.interpass_C, "degC", told("source.job", lang))
    g.band("shrink", plan.free.shrink_mm, 2)
    g.band("closing", plan.tacking.closing_mm, 2)
    g.band("angle", plan.free.angle_deg, 2)
    g.band("tendon", plan.free.tendon_N)
    chosen = next((o for o in plan.order.compared if o.chosen), None)
    if chosen is not None:
        g.band("flatness", chosen.flatness_mm, 2)
        g.band("pitch", chosen.pitch_mm, 2)
        g.band("tilt", chosen.tilt_mm_per_m, 2)
    if plan.order.brace.flatness_with_mm is not None:
        g.band("flatness_braced", plan.order.brace.flatness_with_mm, 2)
    if plan.order.brace.flatness_without_mm is not None:
        g.band("flatness_bare", plan.order.brace.flatness_without_mm, 2)
    return g.found
