"""The map as contour pictures: one panel for each figure wished, and the region where all wishes hold."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any

import numpy as np

from cutplan.linkage.places.margins import HELD
from cutplan.linkage.places.place_map import PlaceMap
from cutplan.linkage.places.placed import Placed
from cutplan.linkage.study import FIGURES, Wish
from cutplan.linkage.wording import LABELS
from cutplan.texts import Reader, say
from cutplan.texts.render import UNIT_TEXT

if TYPE_CHECKING:
    from matplotlib.axes import Axes

#: Panel width and height [in], resolution [dots per inch].
_PANEL, _DPI = (4.6, 4.3), 110
#: Contour lines in a panel.
_LINES = 9
_GREEN, _RED, _DARK = "#2e7d32", "#b3261e", "#1f2933"


def map_png(placed: Placed, reader: Reader) -> bytes:
    """Return the contour pictures as PNG bytes, the same for the same study.

    Parameters
    ----------
    placed : Placed
        The study's answer.
    reader : Reader
        Language and units of the words.
    """
    if placed.chart is None:
        raise ValueError("a place that a job has chosen has no map")
    import matplotlib

    matplotlib.use("agg")
    from matplotlib.figure import Figure

    wishes = _by_figure(placed.study.wishes)
    count = len(wishes) + 1
    columns = min(3, count)
    rows = -(-count // columns)
    with matplotlib.rc_context({"font.family": "DejaVu Sans", "font.size": 9.0, "contour.negative_linestyle": "solid"}):
        sheet = Figure(figsize=(_PANEL[0] * columns, _PANEL[1] * rows), dpi=_DPI, layout="constrained")
        panels = np.atleast_1d(sheet.subplots(rows, columns, squeeze=False)).ravel()
        _margin_panel(panels[0], placed, placed.chart, reader)
        for panel, (figure, own) in zip(panels[1:], wishes.items(), strict=False):
            _figure_panel(panel, placed, placed.chart, figure, own, reader)
        for panel in panels[count:]:
            panel.set_axis_off()
        out = io.BytesIO()
        sheet.savefig(out, format="png", metadata={"Software": None})
    return out.getvalue()


def _by_figure(wishes: tuple[Wish, ...]) -> dict[str, list[Wish]]:
    out: dict[str, list[Wish]] = {}
    for wish in wishes:
        out.setdefault(wish.figure, []).append(wish)
    return out


def _scale(placed: Placed) -> float:
    return 25.4 if placed.study.display == "in" else 1.0


def _frame(panel: Axes, placed: Placed, title: str, reader: Reader) -> None:
    """Axes, title and the marks of the gear as it is and of the place recommended."""
    scale = _scale(placed)
    unit = placed.study.display
    panel.set_title(title, fontsize=10.0, color=_DARK, wrap=True)
    panel.set_xlabel(f"{reader(say('gear forward'))} [{unit}]")
    panel.set_ylabel(f"{reader(say('gear up'))} [{unit}]")
    panel.plot([0.0], [0.0], marker="s", ms=7, mfc="white", mec=_DARK, mew=1.6, ls="none", zorder=5)
    if placed.best is not None:
        x, z = placed.best.shift[0] / scale, placed.best.shift[2] / scale
        panel.plot([x], [z], marker="o", ms=9, mfc="none", mec=_DARK, mew=2.2, ls="none", zorder=6)
        panel.plot([x], [z], marker="+", ms=14, mec=_DARK, mew=1.6, ls="none", zorder=6)
    panel.set_aspect("equal")
    panel.grid(True, color="#d0d5da", lw=0.5)


def _margin_panel(panel: Axes, placed: Placed, chart: PlaceMap, reader: Reader) -> None:
    x, y = chart.forward / _scale(placed), chart.up / _scale(placed)
    _frame(panel, placed, reader(say("margin to the nearest limit, in standard errors")), reader)
    margin = np.clip(np.where(np.isfinite(chart.margin), chart.margin, -99.0), -99.0, 99.0)
    _filled(panel, x, y, margin, [-100.0, 0.0, HELD, 100.0], ["#f5d5d2", "#fff3d6", "#d5ead7"])
    levels = [v for v in (-8, -4, -2, -1, 0, 1, 2, 3, 4, 6, 8, 12) if margin.min() < v < margin.max()]
    if levels:
        lines = panel.contour(x, y, margin, levels=levels, colors=_DARK, linewidths=0.7)
        panel.clabel(lines, fmt="%g", fontsize=8)
    panel.plot([], [], marker="s", ms=7, mfc="white", mec=_DARK, ls="none", label=reader(say("gear now")))
    panel.plot([], [], marker="o", ms=9, mfc="none", mec=_DARK, ls="none", label=reader(say("gear moved")))
    panel.legend(loc="upper right", fontsize=8, framealpha=0.9)


def _figure_panel(
    panel: Axes, placed: Placed, chart: PlaceMap, figure: str, wishes: list[Wish], reader: Reader
) -> None:
    unit = FIGURES[figure]
    scale = _scale(placed) if unit == "mm" else 1.0
    shown = placed.study.display if unit == "mm" else UNIT_TEXT.get(unit, unit)
    label = reader(LABELS[figure])
    x, y = chart.forward / _scale(placed), chart.up / _scale(placed)
    _frame(panel, placed, f"{label} [{shown}]" if shown else label, reader)
    values = chart.values[figure] / scale
    known = np.ma.masked_invalid(values)
    panel.set_facecolor("#e9ebee")
    if known.count() == 0 or not float(known.max()) > float(known.min()):
        return
    good = np.ones(values.shape, dtype=bool)
    for wish in wishes:
        with np.errstate(invalid="ignore"):
            good &= values * scale >= wish.limit if wish.kind == "at least" else values * scale <= wish.limit
    panel.contourf(x, y, np.where(good, 1.0, 0.0), levels=[-0.5, 0.5, 1.5], colors=["#f5d5d2", "#d5ead7"])
    lines = panel.contour(x, y, known, levels=_LINES, colors=_DARK, linewidths=0.7)
    panel.clabel(lines, fmt="%g", fontsize=8)
    for wish in wishes:
        limit = wish.limit / scale
        if float(known.min()) < limit < float(known.max()):
            panel.contour(x, y, known, levels=[limit], colors=_RED, linewidths=2.2)


def _filled(panel: Axes, x: Any, y: Any, values: Any, levels: list[float], colours: list[str]) -> None:
    panel.contourf(x, y, values, levels=levels, colors=colours)
    if values.min() < HELD < values.max():
        panel.contour(x, y, values, levels=[HELD], colors=_GREEN, linewidths=2.2)
