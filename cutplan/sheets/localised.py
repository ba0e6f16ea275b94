"""The trades' own sentences said in the language of the sheet: one walk over the plans, figures and names untouched."""

from __future__ import annotations

from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any

from cutplan.drawing.model import Item, Text
from cutplan.files.dxf.sketch import SketchLayer
from cutplan.sheets.results import Results
from cutplan.tables.phrases import translated
from cutplan.texts import Message, Reader

#: Fields that hold a word of the program, not of a person.
_LEFT = frozenset(
    {
        "job",
        "shop",
        "steering",
        "templates",
        "kind",
        "key",
        "code",
        "severity",
        "origin",
        "process",
        "lead",
        "purpose",
        "unit",
        "cooling_regime",
        "gas",
        "paper",
    }
)

#: Texts of figures that are the user's own names.
_OWN = frozenset({"hole-name", "pad-name"})


@dataclass(frozen=True, slots=True)
class Said:
    """A sentence that has its words already."""

    text: str


def localised(results: Results, lang: str) -> Results:
    """Return the results with the trades' sentences in a language; every message in words."""
    spoken: Results = results.once(f"said in {lang}", lambda: _walk(results, Reader(lang, results.job.display)))
    return spoken


def localised_items(items: list[Item] | tuple[Item, ...], lang: str) -> list[Item]:
    """Return drawn items with their words in a language."""
    if lang == "en":
        return [replace(i, text=str(i.text)) if isinstance(i, Text) else i for i in items]
    return [
        replace(i, text=translated(i.text, lang)) if isinstance(i, Text) and i.tag not in _OWN else i for i in items
    ]


def localised_layers(layers: tuple[SketchLayer, ...], lang: str) -> tuple[SketchLayer, ...]:
    """Return the layers of a drawing file with their notes in a language; layer names are for machines and stay."""
    return tuple(
        replace(layer, notes=tuple(replace(n, text=translated(n.text, lang)) for n in layer.notes)) for layer in layers
    )


def _walk(value: Any, read: Reader) -> Any:
    if isinstance(value, Message):
        return read(value)
    if isinstance(value, str):
        return value if read.language == "en" else translated(value, read.language)
    if isinstance(value, tuple) and not hasattr(value, "_fields"):
        done = tuple(_walk(v, read) for v in value)
        return done if any(a is not b for a, b in zip(done, value, strict=True)) else value
    if not is_dataclass(value) or isinstance(value, type) or value.__class__.__module__.startswith("cutplan.geometry"):
        return value
    if hasattr(value, "key") and hasattr(value, "text"):
        if read.language == "en":
            return value
        return Said(translated(value.text, read.language))
    changed: dict[str, Any] = {}
    for f in fields(value):
        if f.init and f.name not in _LEFT:
            old = getattr(value, f.name)
            new = _walk(old, read)
            if new is not old:
                changed[f.name] = new
    return replace(value, **changed) if changed else value
