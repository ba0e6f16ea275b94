"""Small helpers that write HTML: everything passes through one escape."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

#: Rows from which a table is long.
LONG = 8


class Raw(str):
    """Text that is HTML already."""

    __slots__ = ()


def text(value: str) -> Raw:
    """Return a plain text escaped."""
    return value if isinstance(value, Raw) else Raw(escape(value, quote=True))


def tag(element: str, /, *inside: str, **attributes: str | int | float | bool | None) -> Raw:
    """Return an element; ``class_`` becomes class, ``data_x`` data-x; None and False leave an attribute out."""
    words = [element]
    for key, value in attributes.items():
        if value is None or value is False:
            continue
        label = key.rstrip("_").replace("_", "-")
        words.append(label if value is True else f'{label}="{escape(str(value), quote=True)}"')
    head = " ".join(words)
    if element in ("meta", "input", "br", "hr"):
        return Raw(f"<{head}>")
    return Raw(f"<{head}>{''.join(text(i) for i in inside)}</{element}>")


def table(caption: str, head: Sequence[str], rows: Sequence[Sequence[str]], class_: str = "", ident: str = "") -> Raw:
    """Return a table in its own scrolling box; the first cell of a row is its heading. A long one folds on a phone."""
    top = tag("tr", *(tag("th", h, scope="col") for h in head))
    body = [
        tag("tr", *(tag("th", c, scope="row") if i == 0 else tag("td", c) for i, c in enumerate(row))) for row in rows
    ]
    inner = tag("table", tag("caption", caption), tag("thead", top), tag("tbody", *body), class_=class_ or None)
    box = tag("div", inner, class_="scroll", tabindex=0, role="region", aria_label=caption, id=ident or None)
    return box if len(rows) <= LONG else tag("details", tag("summary", caption), box, open=True, class_="fold")


def bullets(items: Sequence[str], ordered: bool = False, class_: str = "") -> Raw:
    """Return a list."""
    return tag("ol" if ordered else "ul", *(tag("li", i) for i in items), class_=class_ or None)
