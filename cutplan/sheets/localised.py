"""The trades' own sentences said in the language of the sheet: one walk over the plans, figures and names untouched."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from typing import TYPE_CHECKING, Any

from cutplan.drawing.model import Item, Text
from cutplan.files.dxf.sketch import SketchLayer
from cutplan.sheets.results import Results
from cutplan.texts import Message, Reader

if TYPE_CHECKING:
    from cutplan.welding.result import OrderFigure

#: Parts of the results that hold no messages of the trades: not walked.
_LEFT = frozenset({"job", "shop", "steering", "templates"})


def localised(results: Results, lang: str) -> Results:
    """Return the results with every message in the words of a language and the job's units."""
    name = f"said in {lang}"
    spoken: Results = results.once(name, lambda: _walk(results, Reader(lang, results.job.shown.display)))
    return spoken.once(name, lambda: spoken)  # what is said already is not said again: its drawings are shared


def localised_orders(orders: tuple[OrderFigure, ...], lang: str) -> tuple[OrderFigure, ...]:
    """Return compared orders with their names in words."""
    spoken: tuple[OrderFigure, ...] = _walk(orders, Reader(lang))
    return spoken


def localised_items(items: list[Item] | tuple[Item, ...], lang: str) -> list[Item]:
    """Return drawn items with their messages in words; what is no message is a name or a number and stays."""
    read = Reader(lang)
    return [replace(i, text=read(i.text)) if isinstance(i, Text) else i for i in items]


def localised_layers(layers: tuple[SketchLayer, ...], lang: str) -> tuple[SketchLayer, ...]:
    """Return the layers of a drawing file with their notes in words; layer names are for machines and stay."""
    read = Reader(lang)
    return tuple(replace(layer, notes=tuple(replace(n, text=read(n.text)) for n in layer.notes)) for layer in layers)


def _walk(value: Any, read: Reader) -> Any:
    if isinstance(value, Message):
        return read(value)
    if isinstance(value, tuple) and not hasattr(value, "_fields"):
        done = tuple(_walk(v, read) for v in value)
        return done if any(a is not b for a, b in zip(done, value, strict=True)) else value
    if not is_dataclass(value) or isinstance(value, type) or value.__class__.__module__.startswith("cutplan.geometry"):
        return value
    changed: dict[str, Any] = {}
    for f in fields(value):
        if f.init and f.name not in _LEFT:
            old = getattr(value, f.name)
            new = _walk(old, read)
            if new is not old:
                changed[f.name] = new
    return replace(value, **changed) if changed else value
