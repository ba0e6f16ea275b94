"""Laws of what a job says, on paper too: quantities have units, units are the reader's, nothing contradicts anything.

What is printed is caught at the door: whole paragraphs and cells before they are broken into lines, and the messages
with their values before they are words. Nothing here knows what a sheet looks like.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import pytest

from cutplan.drawing import layout
from cutplan.drawing.model import Text
from cutplan.errors import CutplanError
from cutplan.project.planned.plans import load, plans
from cutplan.sheets import page
from cutplan.sheets.job_sheet import job_sheet
from cutplan.sheets.results import Results
from cutplan.templates.plan import plan_templates
from cutplan.texts import Message, render
from cutplan.texts.values import Banded, Length, Listing, Name, Number, Place, Span, Value

#: What stands behind a number: a unit, or a sign that it is a ratio, an angle, a share.
_UNIT = (
    r"(?:mm²|mm|in²|in|ft³/h|ft³|m|cm/min|m/min|mm/s|kg|g|l/min|l|s|min|h|°C|°|%|J/mm|kJ/mm|N/mm²|N/mm|N|kN|A|V|W|kW|bar|um|µm|"
    r"MiB|times|-?mal|-fach|x thickness|t\b|d\b|R\b)"
)
_NUMBER = r"[-+−±≤≥]?\s?\d+(?:[.,]\d+)+"
#: Between a number and the unit that it shares: another end of a range, a size, a place, a band in brackets.
_SHARED = r"(?:\s?(?:to|bis|–|…|\.\.\.|x|×|,|;|/|and|und|or|oder|by|zu|±|\(|\))\s?)+[-+−±≤≥]?\s?\d"
#: Numbers with a point that are no quantity: standards, revisions, versions, scales, names of fits.
_NO_QUANTITY = re.compile(
    r"(?:ISO|EN|DIN|AWS|AISC|AISI|ASME|ANSI|RS|DXF|Rz|No\.|Nr\.|Part|clause|Abschnitt|section|Table|Tabelle|example)\s?[A-Z]?[\d.:-]+(?:/[A-Z\d.]+)?"
    r"|\b[A-Z]\d+(?:\.\d+)+[a-z]?\b|1 : \d+\.\d+|\d+(?:\.\d+)? ?(?:x thickness|× Dicke)|\d+\.\d+ : 1|\b[\w-]+\.(?:pdf|dxf|toml|csv|json|html|com|org|fi|net|de)\b|\d{4}-\d\d-\d\d"
    r"|\bdoi\s\S+|M\d+(?:\.\d+)?\s?[x×]\s?\d+(?:\.\d+)?|\d+/\d+-\d+"
)
#: A length in inches with the millimetre beside it, as an inch job tells it: single, range, band, place.
_INCH = r"-?(?:\d+ \d+/\d+|\d+/\d+|\d+(?:\.\d+)?)"
_MM = r"[-+]?\d+(?:\.\d+)?"
_BOTH = re.compile(
    rf"{_INCH} (?:to|bis) {_INCH} in \({_MM} (?:to|bis) {_MM} mm\)"
    rf"|{_INCH} in \({_INCH} (?:to|bis) {_INCH}\), {_MM} mm \({_MM} (?:to|bis) {_MM}\)"
    rf"|\({_INCH}, {_INCH}\) in \({_MM}, {_MM} mm\)"
    rf"|{_INCH} in \({_MM} mm\)"
)
_METRIC = re.compile(rf"{_MM} mm\b(?!/|²)")
_INCHES = re.compile(rf"(?<![\w/.]){_INCH} in\b(?! (?:all|\d))")
#: A source in brackets, whose figures are its own.
_CITED = re.compile(r"\((?:ISO|EN)\s[^()]*(?:\([^()]*\)[^()]*)*\)")


def bare_numbers(text: str) -> list[str]:
    """Decimal numbers of a text without a unit behind them, by themselves or shared."""
    text = _NO_QUANTITY.sub("", text)
    found = []
    for m in re.finditer(_NUMBER, text):
        rest = text[m.end() :]
        if re.match(rf"\s?\)?\s?{_UNIT}(?![A-Za-z])", rest) or re.match(_SHARED, rest):
            continue
        # the last of a band in brackets shares the unit of its middle, before the brackets: 12.0 mm (11.0 to 13.0)
        before = text[: m.start()]
        if re.match(r"\s?\)", rest) and re.search(rf"{_UNIT}\s?\([^()]*$", before):
            continue
        found.append(text[max(0, m.start() - 25) : m.end() + 15])
    return found


def wrong_units(text: str, units: str, standard: set[str]) -> list[str]:
    """Lengths in the units of somebody else; ``standard`` are those that stay metric by what they are."""
    text = " ".join(_CITED.sub("", text).split())  # a cell may set inches and millimetres in two lines
    if units == "mm":
        return [m[0] for m in _INCHES.finditer(text)]
    return [m[0] for m in _METRIC.finditer(_BOTH.sub("", text)) if m[0] not in standard]


@dataclass
class Printed:
    """What reached the paper: texts, tables with a unit in their head, messages, texts of ids with their values."""

    texts: dict[str, None] = field(default_factory=dict)
    headed: set[str] = field(default_factory=set)
    lines: set[str] = field(default_factory=set)
    messages: dict[Message, None] = field(default_factory=dict)
    told: list[tuple[str, dict[str, Any]]] = field(default_factory=list)
    standard: set[str] = field(default_factory=set)


@contextmanager
def caught() -> Iterator[Printed]:
    """Catch everything that is put on paper while this lasts."""
    found = Printed()
    with pytest.MonkeyPatch.context() as patch:
        _catch_texts(patch, found)
        _catch_messages(patch, found)
        yield found


def _catch_texts(patch: pytest.MonkeyPatch, found: Printed) -> None:
    wrap, write, blocks = layout.wrap_text, page.Builder.table, page.Builder.two_blocks

    def wrapped(text: str, *args: Any, **more: Any) -> list[str]:
        found.texts[text] = None
        lines = wrap(text, *args, **more)
        found.lines.update(lines)
        return lines

    def table(self: page.Builder, rows: Any, *args: Any, **more: Any) -> None:
        """A column whose head names the unit, or a table whose title does, holds bare numbers; so do citations."""
        unit = re.compile(r"\[[^\]]+\]|\b(?:in|mit) (?:mm|in)\b")
        for row in rows[1:]:
            for head, cell in zip(rows[0], row, strict=True):
                if unit.search(f"{head} {more.get('title', '')}") or more.get("tag") == "sources":
                    found.headed.add(cell)
        write(self, rows, *args, **more)

    def two_blocks(self: page.Builder, head: Any, rows: Any, *args: Any, **more: Any) -> None:
        for row in rows:
            found.headed.update(cell for name, cell in zip(head, row, strict=True) if "[" in name)
        blocks(self, head, rows, *args, **more)

    for module in [m for n, m in sys.modules.items() if n.startswith("cutplan.")]:
        if getattr(module, "wrap_text", None) is wrap:  # templates hold it under its own name
            patch.setattr(module, "wrap_text", wrapped)
    patch.setattr(page.Builder, "two_blocks", two_blocks)
    patch.setattr(page.Builder, "table", table)


def _catch_messages(patch: pytest.MonkeyPatch, found: Printed) -> None:
    rendered, length, tell = render.rendered, render._length, page.told

    def render_(text: Any, reader: Any = render.ENGLISH) -> str:
        if isinstance(text, Message):
            found.messages[text] = None
        return rendered(text, reader)

    def length_(value: Length, reader: Any) -> str:
        said = length(value, reader)
        if value.metric:
            found.standard.add(said)
        return said

    def told_(key: str, lang: Any = "en", **more: Any) -> str:
        found.told.append((key, more))
        return tell(key, lang, **more)

    patch.setattr(render, "rendered", render_)
    patch.setattr(render, "_length", length_)
    patch.setattr(page, "told", told_)


def printed(results: Results, lang: str, units: Any) -> Printed:
    """What the job sheet and the templates say in a language and units."""
    job = replace(results.job, shown=replace(results.job.shown, language=lang, display=units))
    whole = Results(job, results.shop, results.cut, results.templates, results.opening, results.weld, results.findings)
    with caught() as found:
        document = job_sheet(whole)
        paper = plan_templates(job, results.shop) if results.templates is not None else None
    own = tuple(document.pages) + (paper.pages if paper is not None else ())
    for item in (i for p in own for i in p.items if isinstance(i, Text)):
        # labels of drawings; axes and the ruler have their unit at their end
        if item.tag not in ("text", "axis", "dimension", "station-name") and item.text not in found.lines:
            # a millimetre in brackets by itself is the second line of a size
            if re.fullmatch(r"\(.* mm\)( M[\d.]+)?", item.text):
                continue
            if not re.search(r"[A-Za-z]{3}", item.text):
                continue
            found.texts[item.text] = None
    return found


def values(message: Message) -> list[tuple[str, Value]]:
    """Every value of a message, of those in it too."""
    found: list[tuple[str, Value]] = []
    for key, value in message.values:
        found.append((key, value))
        if isinstance(value, Message):
            found += values(value)
    return found


def _parts(value: Value) -> tuple[list[Value], list[Value]]:
    """Names and quantities of a value."""
    if isinstance(value, Message):
        names: list[Value] = [value.key]
        sizes: list[Value] = []
        for _, inner in value.values:
            a, b = _parts(inner)
            names, sizes = names + a, sizes + b
        return names, sizes
    if isinstance(value, Listing):
        both = [_parts(i) for i in value.items]
        return [n for a, _ in both for n in a], [s for _, b in both for s in b]
    if isinstance(value, (Length, Number, Span, Banded, float)):
        return [], [value]
    return [value], []


def told_twice(messages: Iterator[Message] | dict[Message, None]) -> list[str]:
    """One text about one thing, with other figures the second time: the names in it are the thing."""
    known: dict[tuple[Any, ...], tuple[Message, list[Value]]] = {}
    wrong = []
    for message in messages:
        names, sizes = _parts(message)
        things = [n for n in names[1:] if isinstance(n, (Name, Place, int))]
        if not things or not sizes:
            continue
        key = (message.key, message.context, *names)
        first = known.setdefault(key, (message, sizes))
        if first[1] != sizes:
            wrong.append(f"{first[0]} / {message}")
    return wrong


def against_the_job(results: Results, told: list[tuple[str, dict[str, Any]]], read: Any) -> list[str]:
    """Figures that stand in several places of the sheets, against the one plan that they come from."""
    job, weld = results.job, results.weld
    own: dict[str, Any] = {"gap": job.joint.gap_mm, "overlap": job.joint.overlap_mm, "revision": job.about.revision}
    if weld is not None:
        chosen = next((o.name for o in weld.order.compared if o.chosen), weld.order.chosen)
        own |= {"interpass": f"{weld.heat.interpass_C:.0f}", "order": read(chosen)}
    if results.templates is not None:
        own["sheets"] = len(results.templates.pages)
    wrong = []
    for key, said in told:
        for name in own.keys() & said.keys():
            text = read(said[name]) if isinstance(said[name], (str, Message)) else str(said[name])
            wanted = own[name]
            if isinstance(wanted, float):
                found = re.search(r"(-?\d+(?:\.\d+)?) mm", text)
                if found and abs(float(found[1]) - wanted) > 0.051:
                    wrong.append(f"{key}: {name} {text} for {wanted}")
            elif text != str(wanted):
                wrong.append(f"{key}: {name} {text} for {wanted}")
    return wrong


def sheet_faults(results: Results) -> tuple[list[str], int]:
    """Faults of everything that is printed, in both languages and units; and how many texts were looked at."""
    wrong: list[str] = []
    looked = 0
    for lang, units in (("en", "mm"), ("de", "in"), ("en", "in"), ("de", "mm")):
        found = printed(results, lang, units)
        looked += len(found.texts)
        own = {results.job.about.title, results.job.about.note, results.job.about.area}
        for text in found.texts:
            if text in found.headed or text in own:
                continue
            wrong += [f"{lang} {units}: {b!r} in {text!r}" for b in bare_numbers(text)]
            wrong += [f"{lang} {units}: {u!r} in {text!r}" for u in wrong_units(text, units, found.standard)]
        wrong += [f"{lang} {units}: {t}" for t in told_twice(found.messages)]
        reader = render.Reader(lang, units)
        wrong += [f"{lang} {units}: {t}" for t in against_the_job(results, found.told, reader)]
    return list(dict.fromkeys(wrong)), looked


def random_sheets(files: dict[str, bytes], folder: Path) -> tuple[list[str], int]:
    """Faults of the sheets of one random job, its weld plan with a short search; none where it is refused."""
    for name, data in files.items():
        (folder / name).write_bytes(data)
    try:
        job, shop = load(folder / "job.toml")
        job = replace(job, welding=replace(job.welding, orders=10))
        results = plans(job, shop, remember=False)
        return sheet_faults(results)
    except CutplanError:  # no such job, or no opening to write a sheet about
        return [], 0
