"""The one typeface of all documents, and how wide its texts are.

DejaVu Sans 2.37 comes with the package, so that no font is asked of the machine; its licence (Bitstream Vera terms, which
allow embedding and passing on) stands beside it in ``typeface/LICENSE.txt``.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from cutplan.drawing.model import Text
from cutplan.errors import OutputError

if TYPE_CHECKING:
    from reportlab.pdfbase.ttfonts import TTFont

#: Depth of descenders and height of ascenders, as parts of the font size (DejaVu Sans, OS/2 table).
DESCENT = 0.236
ASCENT = 0.760
#: Stands for a letter without a glyph.
SUBSTITUTE = "?"
_DEEP = frozenset("gjpqyQ,;()[]{}|/\\_@$§µ")


def font_path(bold: bool = False) -> Path:
    """Return the TrueType file of the regular or bold face."""
    path = Path(__file__).parent / "typeface" / ("DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf")
    if not path.is_file():
        raise OutputError(f"the typeface {path.name} is missing", hint="install cutplan again")
    return path


@lru_cache(maxsize=2)
def pdf_font(bold: bool = False) -> TTFont:
    """Return the face as reportlab knows it, registered under ``fontName``."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    font = TTFont("Sans-Bold" if bold else "Sans", str(font_path(bold)))
    pdfmetrics.registerFont(font)
    return font


@lru_cache(maxsize=2)
def _widths(bold: bool) -> tuple[dict[int, float], float]:
    face = pdf_font(bold).face
    return face.charWidths, face.defaultWidth


def not_drawn(text: str) -> tuple[str, ...]:
    """Return the letters of a text that one of the two faces has no glyph for, each once, in their order."""
    regular, bold = _widths(False)[0], _widths(True)[0]
    return tuple(dict.fromkeys(c for c in text if c.isprintable() and not (ord(c) in regular and ord(c) in bold)))


def drawn(text: str) -> str:
    """Return a text with :data:`SUBSTITUTE` for each letter without a glyph, in place of an empty box."""
    missing = not_drawn(text) if not text.isascii() else ()
    return text.translate({ord(c): SUBSTITUTE for c in missing}) if missing else text


@lru_cache(maxsize=20_000)
def _thousandths(text: str, bold: bool) -> float:
    widths, _ = _widths(bold)
    default = widths[ord(SUBSTITUTE)]
    return sum([widths.get(ord(c), default) for c in text])


def text_width(text: str, height_mm: float, bold: bool = False) -> float:
    """Return the advance width of one line of text [mm] at a font size [mm], as the PDF sets it (no kerning)."""
    return _thousandths(text, bold) * 0.001 * height_mm


def anchor_shift(text: Text) -> float:
    """Return how far the text's anchor lies from its left end along the base line [mm]."""
    part = {"left": 0.0, "middle": 0.5, "right": 1.0}[text.anchor]
    return part * text_width(text.text, text.height_mm, text.bold) if part else 0.0


def below_base_line(text: str) -> float:
    """Return how far the text reaches below its base line, as a part of the font size [1]."""
    return DESCENT if any(c in _DEEP for c in text) else 0.015
