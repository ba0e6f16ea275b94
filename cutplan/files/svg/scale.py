"""The scale of an SVG drawing: millimetres per user unit from width, height and viewBox, and how firm that is."""

from __future__ import annotations

import re
from dataclasses import replace

from cutplan.files.drawing_units import SvgScale
from cutplan.files.svg.numbers import UNIT_MM, parse_length, view_box
from cutplan.files.svg.tree import Document
from cutplan.texts import Message, say
from cutplan.texts import name as named

_PX = UNIT_MM["px"]
#: A page of more units than this was not drawn in inches.
_LARGEST_INCH_PAGE = 100.0
#: Gain in plausibility that is needed against the resolution of a program that names itself [-].
_NAMED_TRUST = 4.5
_NAMES = {1.0: "mm", 10.0: "cm", 25.4: "in"}


def scale_of(document: Document) -> tuple[SvgScale, float]:
    """Return the scale, and the factor by which y is stretched against x [1] (1 unless the aspect ratio is given up)."""
    root = document.root
    box = view_box(root.attrib.get("viewBox"))
    width, height = _absolute(root.attrib.get("width")), _absolute(root.attrib.get("height"))
    firm = all(side is None or side[1] != "px" for side in (width, height)) and (width or height) is not None
    page = box[2] if box is not None else width[0] / _PX if width is not None else 0.0
    others = _others(page)
    if box is None:
        if firm:
            page_mm = tuple(side[0] for side in (width, height) if side is not None)
            reason = say("the page has a size but no viewBox")
            return _hinted(document, SvgScale(_PX, False, reason, others, page_mm=page_mm)), 1.0
        else:
            reason = say("no size with a unit is stated")
        return _hinted(document, SvgScale(_PX, False, reason, others)), 1.0
    scales = [
        side[0] / span for side, span in ((width, box[2]), (height, box[3])) if side is not None and side[0] > 0.0
    ]
    if not scales:
        reason = say("a viewBox but no size is stated")
        return _hinted(document, SvgScale(_PX, False, reason, others)), 1.0
    stretch = 1.0
    ratio = root.attrib.get("preserveAspectRatio", "")
    scale = max(scales) if "slice" in ratio else min(scales)
    if len(scales) == 2 and ratio.strip().startswith("none"):
        scale, stretch = scales[0], scales[1] / scales[0]
    stated = " x ".join(root.attrib.get(k, "").strip() for k in ("width", "height") if root.attrib.get(k))
    if firm:
        return SvgScale(
            scale, True, say("the page is stated as {size}", size=named(stated[:60])), (), _name(scale)
        ), stretch
    reason = say("the page is stated in pixels ({size})", size=named(stated[:60]))
    # pixels that are written out are meant more often than a bare number
    written = any(root.attrib.get(k, "").strip().lower().endswith("px") for k in ("width", "height"))
    stated_px = SvgScale(scale, False, reason, _scaled(others, scale / _PX), _name(scale), 3.5 if written else 2.0)
    return _hinted(document, stated_px), stretch


def _absolute(text: str | None) -> tuple[float, str] | None:
    """Return (millimetres, 'px' or 'firm') of a page side, None for percentages and missing ones."""
    parsed = parse_length(text) if text else None
    if parsed is None or parsed[0] <= 0.0:
        return None
    value, unit = parsed
    if unit in ("", "px"):
        return value * _PX, "px"
    if unit in UNIT_MM:
        return value * UNIT_MM[unit], "firm"
    return None


def _others(page: float) -> tuple[tuple[str, float, Message], ...]:
    """Return other scales that drawing programs use, as (name, millimetres, words)."""
    others = [
        ("px", 25.4 / 72.0, say("72 units to the inch")),
        ("px", 25.4 / 90.0, say("90 units to the inch")),
        ("mm", 1.0, say("one unit as one millimetre")),
    ]
    if page <= _LARGEST_INCH_PAGE:
        others.append(("in", 25.4, say("one unit as one inch")))
    return tuple(others)


def _scaled(others: tuple[tuple[str, float, Message], ...], factor: float) -> tuple[tuple[str, float, Message], ...]:
    """Return pixel scales for a view box that holds another number of units than pixels."""
    return tuple((name, mm * factor if name == "px" else mm, words) for name, mm, words in others)


def _hinted(document: Document, scale: SvgScale) -> SvgScale:
    """Return the scale with the resolution of the program that wrote the file, where it names itself."""
    dpi, who = _resolution(document)
    if dpi == 96.0:
        reason = say("{stated}, so a user unit is taken as 1/96 inch", stated=scale.reason)
        return replace(scale, reason=reason)
    mm = scale.mm_per_unit * 96.0 / dpi
    reason = say(
        "{stated}, so a user unit is taken as 1/{dpi:.0f} inch, since {who}", stated=scale.reason, dpi=dpi, who=who
    )
    others = (("px", scale.mm_per_unit, say("96 units to the inch")), *scale.others)
    return SvgScale(mm, False, reason, others, _name(mm), _NAMED_TRUST)


def _resolution(document: Document) -> tuple[float, Message]:
    """Return (pixels per inch, why) from the traces that drawing programs leave; 96 where there are none."""
    version = next((v for k, v in document.root.attrib.items() if k.endswith(":version") and "inkscape" in k), "")
    match = re.match(r"(\d+)\.(\d+)", version)
    if match:
        number = (int(match.group(1)), int(match.group(2)))
        return (90.0 if number < (0, 92) else 96.0), say("the drawing program's version used that")
    if "Illustrator" in document.comments or any(
        "AdobeIllustrator" in k or "Adobe" in v for k, v in document.root.attrib.items() if k.startswith("xmlns")
    ):
        return 72.0, say("the drawing program uses points")
    return 96.0, Message("")


def _name(mm: float) -> str:
    return next((name for size, name in _NAMES.items() if abs(mm / size - 1.0) < 1e-6), "px")
