"""Parts and consumables: what to have on the bench before starting."""

from __future__ import annotations

from collections.abc import Callable
from math import ceil, floor

from cutplan.pattern.brace import FittedBrace
from cutplan.pattern.brace_designs import braces_of
from cutplan.pattern.job import Job
from cutplan.pattern.opening import opening_line
from cutplan.pattern.plate import Plate
from cutplan.sheets.page import CELL, Builder
from cutplan.sheets.plate.bits import bit_rows
from cutplan.sheets.plate.template_page import sheets_said
from cutplan.sheets.results import Results
from cutplan.tables.band import Band
from cutplan.tables.steel import CARBON_STEEL, steel_word
from cutplan.templates.shapes.flange import flat_total_mm
from cutplan.texts import Message, Reader, band, say
from cutplan.texts.by_id import told
from cutplan.units import LITRES_PER_CUBIC_FOOT, UnitName, format_gas, format_length
from cutplan.welding.words import shown as banded

#: Metal left round the plate when a blank is ordered [mm] (common practice: room for leads and clamps).
BLANK_MM = 15.0
#: Font size of the list [mm].
_SIZE = 3.5
#: Widths of its columns.
_SHARES = (0.05, 0.44, 0.3, 0.31)


def plate_mass_kg(job: Job) -> float:
    """Return the mass of one plate, holes off [kg]; density of carbon steel (see ``tables.steel``)."""
    return job.plate.region.area * job.plate.thickness_mm * CARBON_STEEL.density_kg_per_mm3


def parts_rows(results: Results, lang: str = "en") -> list[list[str]]:
    """Return the rows of the list: what, how much, what for; without the header."""
    job, plate = results.job, results.job.plate
    box = plate.outline.box

    def size(mm: float) -> str:
        return format_length(mm, job.shown.display)

    blank = " × ".join(size(ceil(v + 2.0 * BLANK_MM)) for v in (box.width, box.height))
    rows = [
        [
            told("parts.plate", lang, steel=Reader(lang)(steel_word(plate.steel)), thickness=size(plate.thickness_mm)),
            told("parts.plate_much", lang, count=job.plates_to_cut, blank=blank),
            told(
                "parts.plate_for_each" if job.plates_to_cut > 1 else "parts.plate_for",
                lang,
                mass=f"{plate_mass_kg(job):.2f}",
            ),
        ]
    ]
    braces = braces_of(job, opening_line(job))
    rows += [_brace_row(fitted, job.shown.display, lang) for fitted in braces]
    rows += [
        [
            told("parts.tube", lang, size=size(w.branch_mm), wall=size(w.wall_mm)),
            "1",
            told("parts.tube_for", lang, name=w.name),
        ]
        for w in job.beside.wraps
    ]
    rows += [
        [
            told("parts.strip", lang, thickness=size(f.thickness_mm), width=size(f.width_mm)),
            told("parts.strip_much", lang, length=size(flat_total_mm(f))),
            told("parts.strip_for", lang, name=f.name),
        ]
        for f in job.beside.flanges
    ]
    bolted = not all(b.on_skin for b in braces)
    return [*rows, *_fastener_rows(plate, bolted, size, lang), *consumable_rows(results, lang)]


def _brace_row(fitted: FittedBrace, display: UnitName, lang: str) -> list[str]:
    """What a brace is cut from, how long, and what it holds until when; the real part is there already."""
    section = fitted.section
    lengths = [(format_length(long, display, 0), n) for long, n in cut_lengths(fitted)]
    much = ", ".join(f"{n}\u00a0×\u00a0{long}" if n > 1 else long for long, n in lengths)
    wide, wall = (format_length(v, display) for v in (section.size_mm, section.wall_mm))
    return [
        told(f"parts.brace.{section.kind}", lang, size=wide, wall=wall),
        "1" if section.kind == "part" else told("parts.length", lang, length=much),
        told("parts.brace_open_for" if fitted.off == "open" else "parts.brace_for", lang),
    ]


def _fastener_rows(plate: Plate, bolted: bool, size: Callable[[float], str], lang: str) -> list[list[str]]:
    """Bolts by thread, which hold a ``bolted`` mating part too, and a sleeve for each hole that takes one."""
    bolts: dict[str, int] = {}
    for hole in plate.holes:
        if hole.bolt:
            bolts[hole.bolt] = bolts.get(hole.bolt, 0) + 1
    what = told("parts.bolt_part_for" if bolted else "parts.bolt_for", lang)
    rows = [[told("parts.bolt", lang, bolt=b), str(n), what] for b, n in bolts.items()]
    sleeves: dict[str, list[str]] = {}
    for hole in plate.holes:
        if hole.purpose == "sleeve" and hole.diameter_mm:
            sleeves.setdefault(size(hole.diameter_mm), []).append(hole.name)
    rows += [
        [told("parts.sleeve", lang, size=s), str(len(names)), told("parts.sleeve_for", lang, hole=", ".join(names))]
        for s, names in sleeves.items()
    ]
    return rows


def set_rows(lang: str = "en") -> list[list[str]]:
    """Return the rows of small things that every job needs: what, how much, what for."""
    return [
        [told(f"parts.{k}", lang), told(f"parts.{k}_much", lang), told(f"parts.{k}_for", lang)]
        for k in ("tape", "primer", "wedges")
    ]


def cut_lengths(brace: FittedBrace) -> list[tuple[float, int]]:
    """Return the lengths to cut for a brace with their number, longest first: bars, then posts [mm]."""
    counts: dict[float, int] = {}
    for bar in brace.bars:
        counts[round(bar.length_mm, 1)] = counts.get(round(bar.length_mm, 1), 0) + 1
        for foot in bar.feet:
            if foot.height_mm > 0.0:
                counts[round(foot.height_mm, 1)] = counts.get(round(foot.height_mm, 1), 0) + 1
    return sorted(counts.items(), reverse=True)


def consumable_rows(results: Results, lang: str = "en") -> list[list[str]]:
    """Return rows for paper, drills, discs, wire and gas, as far as the plans were made."""
    rows: list[list[str]] = []
    if results.templates is not None:
        rows.append(
            [
                told("parts.paper", lang, paper=results.job.paper.name),
                Reader(lang)(sheets_said(len(results.templates.pages))),
                told("parts.paper_for", lang),
            ]
        )
    rows += bit_rows(results, lang)
    if results.opening is not None:
        for name, used in results.opening.effort.consumables:
            if used.high > 0.0:  # less than one piece is a piece to have
                low, high = max(1, floor(used.low)), ceil(used.high)
                pieces = told("parts.pieces", lang, low=low, high=high) if high > low else str(low)
                rows.append([Reader(lang, results.job.shown.display)(name), pieces, told("parts.opening_for", lang)])
    if results.weld is not None:
        rows += weld_rows(results, lang)
    return rows


def weld_rows(results: Results, lang: str = "en") -> list[list[str]]:
    """Return the rows of wire and gas."""
    weld = results.weld
    if weld is None:
        return []
    s = weld.settings
    display = results.job.shown.display
    process, size = told(f"weld.process.{s.process}", lang), format_length(s.wire_mm, display)
    wire = told("parts.wire", lang, process=process, size=size)
    gas = told("parts.gas", lang, gas=told(f"weld.gas.{s.gas}", lang))
    return [
        [wire, Reader(lang)(say("{mass}", mass=banded(weld.uses.wire_kg, 2))), told("parts.wire_for", lang)],
        [
            gas,
            Reader(lang)(_gas_volume(weld.uses.gas_l, display)),
            told("parts.gas_for", lang, flow=format_gas(s.gas_l_per_min, display)),
        ],
    ]


def _gas_volume(litres: Band, display: UnitName) -> Message:
    """Return how much gas, for an inch shop in cubic feet with the litres beside them."""
    metric = say("{volume}", volume=banded(litres, 0))
    if display == "mm":
        return metric
    low, mid, high = (v / LITRES_PER_CUBIC_FOOT for v in (litres.low, litres.mid, litres.high))
    return say("{volume}, {metric}", volume=band(low, mid, high, "ft³", 1), metric=metric)


def _for_more(job: Job) -> Message:
    """What the list holds of where several plates are cut; empty for one."""
    if job.plates_to_cut < 2:
        return Message("")
    return say(
        "The steel is enough for {count} plates. The rest is for one: what is welded in, worn and used is needed again for each "
        "further plate.",
        count=job.plates_to_cut,
    )


def parts_page(b: Builder, results: Results) -> None:
    """Write the list with a box to tick before each row."""
    head = ["", b.say("parts.what"), b.say("parts.much"), b.say("parts.for")]
    rows = [head, *(["☐", *r] for r in (*parts_rows(results, b.lang), *set_rows(b.lang)))]
    more = _for_more(results.job)
    lead = [b.say("parts.lead"), *([b.say(more)] if more else [])]
    b.page("parts.title", need_mm=min(b.table_height(rows, _SHARES, _SIZE) + b.height_of(lead, CELL), b.full))
    b.para(b.say("parts.lead"), CELL)
    if more:
        b.para(b.say(more), CELL)
    b.table(rows, _SHARES, _SIZE, tag="parts")
