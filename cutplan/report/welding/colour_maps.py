"""Colour maps where people would rather look than read: how far plate and skin stand out of plane, how hot the metal gets.

Only what is called from here loads matplotlib, and only then. Both scales are told apart by every kind of eye: out of plane
from violet over white to orange, heat from black to yellow. The same plan gives the same bytes.
"""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any

import numpy as np

from cutplan.geometry.flatten import flatten_array
from cutplan.report.welding.colour_fields import HeatField, heat_field, lift_rows
from cutplan.sheets.results import Results
from cutplan.texts import Message, Reader, mm, number, say

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from cutplan.welding.result import ShapeAfter, WeldPlan

#: Width of a panel, of one that stands alone, and of the bar with its words [in]; resolution [dots per inch].
_PANEL, _ALONE, _BAR, _DPI = 4.1, 6.2, 1.1, 110
#: Room above and below a panel, and least and most height of a picture [in].
_WORDS, _TALL = 0.9, (2.6, 7.0)
#: Room left of the panels, under and over them, between two, left of the bar and over and under it; width of the bar [in].
_LEFT, _UNDER, _OVER, _GAP, _BESIDE, _END, _BROAD = 0.5, 0.55, 0.4, 0.22, 0.14, 0.2, 0.17
#: Colours from side to side and from cold to hot; steps of the out-of-plane scale on each side of flat.
_SIDES, _HOT, _STEPS = "PuOr_r", "inferno", 6
#: Temperatures at which the colour changes [degC].
_LEVELS_C = (50.0, 80.0, 120.0, 200.0, 300.0, 450.0, 600.0, 800.0)
_DARK, _PALE = "#1f2933", "#d0d5da"
#: Chord tolerance of outlines that are drawn over the colours [mm].
_CHORD_MM = 0.2


def colour_maps(results: Results) -> dict[str, bytes]:
    """Return the colour maps of a job as PNG files by name without ending; none for a job without a weld plan.

    Parameters
    ----------
    results : Results
        Job and plans; words in the job's language, lengths in its units.
    """
    found: dict[str, bytes] = {}
    plan, reader = results.weld, Reader(results.job.shown.language, results.job.shown.display)
    if plan is None:
        return found
    shape = plan.order.shape
    if shape is not None:
        found["displaced-map"] = results.kept("displaced map", lambda: _lift_png(results, shape, reader), "weld")
    found["heat-map"] = results.kept("heat map", lambda: _heat_png(results, plan, reader), "weld")
    return found


def caption(name: str) -> Message:
    """Return what a colour map shows, and where its band stands."""
    if name == "displaced-map":
        return say(
            "Out of plane, middle of what the order model expects: up is orange, down is violet, flat is white; how far it may be off stands with the orders"
        )
    return say(
        "Hottest that the metal gets in the course of the plan at middle settings, losses to the air left out; keep the distances of the table, which carry their band"
    )


def _lift_png(results: Results, shape: ShapeAfter, reader: Reader) -> bytes:
    from matplotlib.tri import Triangulation

    unit = 25.4 if reader.units == "in" else 1.0
    mesh = Triangulation(shape.points[:, 0] / unit, shape.points[:, 1] / unit, shape.triangles)
    rows = lift_rows(shape)
    lifts = [shape.lift_mm[row] / unit for _, row in rows]
    most = max(*(float(np.abs(v).max()) for v in lifts), 1e-6)
    step = _round_step(most / _STEPS)
    count = int(np.ceil(most / step - 0.5 - 1e-9))  # what is flat within half a step is white
    levels = step * (np.arange(-count, count + 2) - 0.5)

    def draw(sheet: Figure) -> None:
        panels, place = _panels(sheet, len(rows))
        drawn: Any = None
        for panel, (title, row), lift in zip(panels, rows, lifts, strict=True):
            drawn = panel.tricontourf(mesh, lift, levels=levels, cmap=_SIDES)
            _frame(panel, results, reader, title)
            _pads(panel, results, unit)
            high = float(np.abs(shape.lift_mm[row]).max())
            panel.set_xlabel(
                f"[{reader.units}]   {reader(say('largest'))}: {reader(Message('{most}', (('most', mm(high, 2)),)))}"
            )
        bar = sheet.colorbar(drawn, cax=place, ticks=step * np.arange(-count, count + 1))
        bar.set_label(f"{reader(say('out of plane'))} [{reader.units}]")

    high, wide = np.ptp(shape.points, axis=0)[::-1]
    return _png(_size(_PANEL * len(rows), _PANEL * high / wide), draw)


def _heat_png(results: Results, plan: WeldPlan, reader: Reader) -> bytes:
    field = heat_field(results.job, plan)
    unit = 25.4 if reader.units == "in" else 1.0

    def draw(sheet: Figure) -> None:
        from matplotlib.colors import BoundaryNorm

        (panel,), place = _panels(sheet, 1)
        levels = _heat_levels(field)
        norm = BoundaryNorm(levels, 256, extend="max")
        x, y = field.x_mm / unit, field.y_mm / unit
        drawn = panel.contourf(x, y, field.peak_C, levels=levels, cmap=_HOT, norm=norm, extend="max")
        lines = panel.contour(x, y, field.peak_C, levels=levels[1:], colors="#ffffff", linewidths=0.6)
        panel.clabel(lines, levels=levels[1:4], fmt="%g °C", fontsize=8)
        _frame(panel, results, reader, say("hottest in the course of welding"))
        middle = reader(say("middle of the plate: {hot}", hot=number(field.insert_C, "degC", 0)))
        panel.set_xlabel(f"[{reader.units}]   {middle}")
        bar = sheet.colorbar(drawn, cax=place, ticks=levels, spacing="uniform")
        bar.set_label(f"{reader(say('highest temperature'))} [°C]")

    high, wide = float(np.ptp(field.y_mm)), float(np.ptp(field.x_mm))
    return _png(_size(_ALONE, _ALONE * high / wide), draw)


def _size(wide: float, tall: float) -> tuple[float, float]:
    """Width and height of a picture whose panels are so wide and tall together [in]."""
    return wide + _BAR, min(max(tall + _WORDS, _TALL[0]), _TALL[1])


def _panels(sheet: Figure, count: int) -> tuple[list[Axes], Axes]:
    """Panels side by side with one scale of heights, and the place of the bar: trying out how words fit takes half of the time."""
    wide, tall = sheet.get_size_inches()
    each, high = (wide - _BAR - _LEFT - _GAP * (count - 1)) / count, tall - _UNDER - _OVER
    panels: list[Axes] = []
    for k in range(count):
        part = ((_LEFT + k * (each + _GAP)) / wide, _UNDER / tall, each / wide, high / tall)
        panels.append(sheet.add_axes(part, sharey=panels[0] if panels else None))
        panels[k].tick_params(labelleft=k == 0)
    left = (wide - _BAR + _BESIDE) / wide
    return panels, sheet.add_axes((left, _END / tall, _BROAD / wide, 1.0 - 2.0 * _END / tall))


def _heat_levels(field: HeatField) -> list[float]:
    """From the room's temperature up; a step that nothing reaches is left out."""
    return [field.ambient_C, *(v for v in _LEVELS_C if v > field.ambient_C + 5.0)]


def _round_step(least: float) -> float:
    """The next of 1, 2, 2.5, 5 times a power of ten."""
    power = 10.0 ** np.floor(np.log10(least))
    return float(next(k * power for k in (1.0, 2.0, 2.5, 5.0, 10.0) if k * power >= least * (1.0 - 1e-9)))


def _frame(panel: Axes, results: Results, reader: Reader, title: Message) -> None:
    unit = 25.4 if reader.units == "in" else 1.0
    plate = results.job.plate
    for contour in (plate.outline, *(h.contour for h in plate.holes)):
        ring = flatten_array(contour, _CHORD_MM) / unit
        for colour, width in (("#ffffff", 2.4), (_DARK, 1.0)):  # a pale seam: seen on dark colours too
            panel.plot(*np.vstack([ring, ring[:1]]).T, color=colour, lw=width)
    panel.set_title(reader(title), fontsize=11.0, color=_DARK, wrap=True)
    panel.set_aspect("equal")
    panel.tick_params(labelsize=8, colors=_DARK)
    for side in panel.spines.values():
        side.set_color(_PALE)


def _pads(panel: Axes, results: Results, unit: float) -> None:
    for pad in results.job.pads:
        at = (pad.centre.x / unit, pad.centre.y / unit)
        panel.plot(*at, marker="+", ms=9, mec=_DARK, mew=1.4, ls="none")
        panel.annotate(
            pad.name,
            at,
            xytext=(5, 5),
            textcoords="offset points",
            fontsize=8,
            color=_DARK,
            bbox={"boxstyle": "square,pad=0.15", "fc": "white", "ec": "none", "alpha": 0.8},
        )


def _png(size: tuple[float, float], draw: Any) -> bytes:
    import matplotlib
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    with matplotlib.rc_context({"font.family": "DejaVu Sans", "font.size": 9.0}):
        sheet = Figure(figsize=size, dpi=_DPI)
        draw(sheet)
        out = io.BytesIO()
        canvas: Any = FigureCanvasAgg(sheet)
        # drawn once: `savefig` would draw it before, to see how large it gets
        canvas.print_png(out, metadata={"Software": None})
    return out.getvalue()
