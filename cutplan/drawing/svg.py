"""Pages and figures as SVG: millimetres in the viewBox, true arcs, classes from tags, a title and description."""

from __future__ import annotations

from cutplan.drawing.model import Figure, Page, Stroke, Text
from cutplan.drawing.placer.picture import as_page
from cutplan.drawing.xml_text import escape, quoteattr
from cutplan.geometry.segment import Arc

_ANCHOR = {"left": "start", "middle": "middle", "right": "end"}


def render_svg(
    picture: Page | Figure,
    *,
    title: str = "",
    desc: str = "",
    ident: str = "picture",
    width_mm: float = 180.0,
    height_mm: float | None = None,
    fluid: bool = False,
) -> str:
    """Return a page or figure as one ``<svg>`` element.

    Parameters
    ----------
    picture : Page or Figure
        A page keeps its size; a figure is fitted into ``width_mm`` by ``height_mm``.
    title, desc : str
        What the picture shows, in short and at length, for people who do not see it.
    ident : str
        Identifier, unique in the document that the picture goes into.
    width_mm, height_mm : float
        Size for a figure [mm]; height None: as the figure's shape asks.
    fluid : bool
        Leave out width and height, so that the picture fills the width it is given.

    Returns
    -------
    str
        SVG text without an XML declaration, ready to stand alone or inside HTML.
    """
    page = as_page(picture, width_mm, height_mm) if isinstance(picture, Figure) else picture
    w, h = page.width_mm, page.height_mm
    size = "" if fluid else f' width="{_n(w)}mm" height="{_n(h)}mm"'
    labelled = " ".join(f"{ident}-{part}" for part, text in (("title", title), ("desc", desc)) if text)
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_n(w)} {_n(h)}"{size} role="img"'
    if labelled:
        head += f" aria-labelledby={quoteattr(labelled)}"
    lines = [head + ' font-family="DejaVu Sans, Verdana, sans-serif" fill="none" stroke-linejoin="round">']
    if title:
        lines.append(f"<title id={quoteattr(ident + '-title')}>{escape(title)}</title>")
    if desc:
        lines.append(f"<desc id={quoteattr(ident + '-desc')}>{escape(desc)}</desc>")
    for item in page.items:
        lines.append(_text(item, h) if isinstance(item, Text) else _path(item, h))
    lines.append("</svg>")
    return "\n".join(lines) + "\n"


def _n(value: float) -> str:
    """Return a number with at most four decimals and no idle zeros."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _class(tag: str) -> str:
    """Return the class attribute of a tag: ``stitch 3`` becomes ``stitch stitch-3``."""
    words = tag.split()
    if not words:
        return ""
    names = [words[0]] if len(words) == 1 else [words[0], "-".join(words)]
    return f" class={quoteattr(' '.join(names))}"


def _path(stroke: Stroke, height_mm: float) -> str:
    parts: list[str] = []
    at = None
    for s in stroke.segments:
        if at is None or s.start.distance(at) > 1e-6:
            parts.append(f"M{_n(s.start.x)} {_n(height_mm - s.start.y)}")
        if isinstance(s, Arc):
            # y points down in SVG, so a counter-clockwise arc has sweep flag 0
            flag = 0 if s.sweep > 0.0 else 1
            for piece in (s.part(0.0, 0.5), s.part(0.5, 1.0)) if abs(s.sweep) > 3.0 else (s,):
                r, end = _n(piece.radius), piece.end
                parts.append(f"A{r} {r} 0 0 {flag} {_n(end.x)} {_n(height_mm - end.y)}")
        else:
            parts.append(f"L{_n(s.end.x)} {_n(height_mm - s.end.y)}")
        at = s.end
    if stroke.closed:
        parts.append("Z")
    style = f' fill="{stroke.fill}"' if stroke.fill else ""
    if stroke.pen is not None:
        style += f' stroke="{stroke.pen.colour}" stroke-width="{_n(stroke.pen.width_mm)}"'
        if stroke.pen.dash_mm:
            style += f' stroke-dasharray="{" ".join(_n(d) for d in stroke.pen.dash_mm)}"'
    return f'<path{_class(stroke.tag)} d="{"".join(parts)}"{style}/>'


def _text(text: Text, height_mm: float) -> str:
    x, y = _n(text.at.x), _n(height_mm - text.at.y)
    style = f' font-size="{_n(text.height_mm)}" fill="{text.colour}"'
    if text.anchor != "left":
        style += f' text-anchor="{_ANCHOR[text.anchor]}"'
    if text.bold:
        style += ' font-weight="bold"'
    if text.angle_deg:
        style += f' transform="rotate({_n(-text.angle_deg)} {x} {y})"'
    return f'<text{_class(text.tag)} x="{x}" y="{y}"{style}>{escape(text.text)}</text>'
