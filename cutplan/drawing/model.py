"""The page model: strokes and texts in millimetres, y upward from the lower left corner.

A :class:`Figure` holds the same items in the part's own coordinates; :func:`placed` puts it on a page at a scale.
Text heights and pen widths are always paper millimetres: they do not scale with the figure.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Literal, TypeAlias

from cutplan.geometry.contour import Contour
from cutplan.geometry.segment import Arc, Line, Segment, circle
from cutplan.geometry.vector import Box, Point

Anchor = Literal["left", "middle", "right"]


@dataclass(frozen=True, slots=True)
class Pen:
    """Line width [mm], colour as ``#rrggbb`` and dash pattern [mm] (empty: solid)."""

    width_mm: float = 0.35
    colour: str = "#000000"
    dash_mm: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Stroke:
    """One continuous path of lines and arcs.

    ``pen`` None: not stroked. ``fill`` as ``#rrggbb`` or empty: not filled. ``tag`` is a plain-word name of what the
    stroke means (``cut``, ``stitch 3``, ``overlap``): backends keep it as a class, tests look for it.
    """

    segments: tuple[Segment, ...]
    pen: Pen | None = Pen()
    fill: str = ""
    closed: bool = False
    tag: str = ""

    def __reduce__(self) -> tuple[type[Stroke], tuple[tuple[Segment, ...], Pen | None, str, bool, str]]:
        return Stroke, (self.segments, self.pen, self.fill, self.closed, self.tag)


@dataclass(frozen=True, slots=True)
class Tie:
    """What a text names, so that it can be set beside it when its picture meets paper.

    Parameters
    ----------
    at : Point
        The thing's middle [mm].
    radius_mm : float
        Its radius [mm].
    away : Point or None
        On which side of it the text should stand, as a vector.
    along : Point or None
        From one end to the other of the line that the text is written along [mm].
    home : bool
        Whether it stands in the thing's middle if that is free.
    optional : bool
        Whether it may be left out where it finds no room: a table tells it.
    """

    at: Point
    radius_mm: float = 0.0
    away: Point | None = None
    along: Point | None = None
    home: bool = False
    optional: bool = False


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text.

    ``at`` is the anchor on the base line [mm], ``height_mm`` the font size (line height) [mm]; capitals are about
    0.73 of it. ``patch`` is the colour of the ground behind it (empty: none), ``ring`` whether a circle stands round it and
    ``tie`` what it names: all three are for the placer of texts, which pages have gone through.
    """

    text: str
    at: Point
    height_mm: float = 4.0
    anchor: Anchor = "left"
    angle_deg: float = 0.0
    bold: bool = False
    colour: str = "#000000"
    tag: str = ""
    patch: str = ""
    ring: bool = False
    tie: Tie | None = None


Item: TypeAlias = Stroke | Text


@dataclass(frozen=True, slots=True)
class Page:
    """One sheet of paper: size [mm], items, its label (shown by viewers) and its bookmark title (empty: none)."""

    width_mm: float
    height_mm: float
    items: tuple[Item, ...]
    label: str = ""
    bookmark: str = ""


@dataclass(frozen=True, slots=True)
class Figure:
    """A picture in the part's own coordinates [mm]; ``box`` is what must be visible."""

    items: tuple[Item, ...]
    box: Box


@dataclass(frozen=True, slots=True)
class Document:
    """Pages with the metadata that a PDF carries."""

    pages: tuple[Page, ...]
    title: str
    subject: str = ""
    author: str = "cutplan"
    language: str = "en"
    keywords: tuple[str, ...] = field(default=())


def tied(
    text: str,
    at: Point,
    height_mm: float,
    *,
    radius_mm: float = 0.0,
    away: Point | None = None,
    bold: bool = False,
    colour: str = "#000000",
    tag: str = "",
    patch: str = "",
) -> Text:
    """Return a text that names a place [mm], or what reaches so far about it [mm]; the placer finds where it stands."""
    return Text(text, at, height_mm, "middle", 0.0, bold, colour, tag, patch, tie=Tie(at, radius_mm, away))


def centred(
    text: str,
    at: Point,
    height_mm: float,
    *,
    bold: bool = False,
    colour: str = "#000000",
    tag: str = "",
    patch: str = "",
    ring: bool = False,
    away: Point | None = None,
) -> Text:
    """Return a text with its middle at a place [mm] where that is free, in a circle if wanted; led away that way if not."""
    return Text(text, at, height_mm, "middle", 0.0, bold, colour, tag, patch, ring, Tie(at, away=away, home=True))


def line(
    a: Point | tuple[float, float], b: Point | tuple[float, float], pen: Pen | None = None, tag: str = ""
) -> Stroke:
    """Return a straight stroke between two points [mm]."""
    return Stroke((Line(Point(*a), Point(*b)),), pen or Pen(), tag=tag)


def outline(contour: Contour, pen: Pen | None = None, fill: str = "", tag: str = "") -> Stroke:
    """Return a closed stroke along a contour."""
    return Stroke(contour.segments, pen or Pen(), fill, closed=True, tag=tag)


def ring(centre: Point, radius_mm: float, pen: Pen | None = None, fill: str = "", tag: str = "") -> Stroke:
    """Return a full circle as a stroke."""
    return Stroke((circle(centre, radius_mm),), pen or Pen(), fill, closed=True, tag=tag)


def moved(item: Item, scale: float, dx_mm: float, dy_mm: float) -> Item:
    """Return the item scaled [1] about the origin and then moved [mm]; text height and pen width stay as they are."""
    if isinstance(item, Text):
        tie = item.tie and replace(
            item.tie,
            at=Point(item.tie.at.x * scale + dx_mm, item.tie.at.y * scale + dy_mm),
            radius_mm=item.tie.radius_mm * scale,
            along=item.tie.along and item.tie.along.times(scale),
        )
        return replace(item, at=Point(item.at.x * scale + dx_mm, item.at.y * scale + dy_mm), tie=tie)
    segments = tuple([_moved(s, scale, dx_mm, dy_mm) for s in item.segments])
    return Stroke(segments, item.pen, item.fill, item.closed, item.tag)


def _moved(s: Segment, scale: float, dx_mm: float, dy_mm: float) -> Segment:
    """Scaled about the origin and moved, in one step: pictures hold thousands of them."""
    (x, y), (u, v) = s.start, s.end
    a, b = Point(x * scale + dx_mm, y * scale + dy_mm), Point(u * scale + dx_mm, v * scale + dy_mm)
    if isinstance(s, Line):
        return Line(a, b)
    c = Point(s.centre.x * scale + dx_mm, s.centre.y * scale + dy_mm)
    return Arc(a, b, c, s.radius * scale, s.sweep)


def placed(figure: Figure, into: Box, scale: float | None = None) -> tuple[tuple[Item, ...], float]:
    """Return a figure's items centred in a box on the page, and the scale used.

    Parameters
    ----------
    figure : Figure
        The picture.
    into : Box
        Room on the page [mm].
    scale : float or None
        Paper millimetres per part millimetre [1]; None: as large as fits.

    Returns
    -------
    (items, scale)
    """
    box = figure.box
    if scale is None:
        scale = min(into.width / max(box.width, 1e-9), into.height / max(box.height, 1e-9))
    centre, target = box.centre, into.centre
    dx, dy = target.x - centre.x * scale, target.y - centre.y * scale
    return tuple(moved(item, scale, dx, dy) for item in figure.items), scale
