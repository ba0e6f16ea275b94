"""The documents that a job gives, by their stable names: which trades each needs, and how its bytes are made."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from cutplan.errors import UsageError
from cutplan.project.planned.remembered import by_content
from cutplan.texts import Reader, code, every, say

if TYPE_CHECKING:
    from cutplan.drawing.model import Page
    from cutplan.files.drawing_in import Drawing
    from cutplan.sheets.results import Results

#: The main sample's previews and those of every job lie in this folder of the set.
PREVIEWS = "previews/"


@dataclass(frozen=True, slots=True)
class Maker:
    """One document: its name, the trades whose plans it shows, the function that makes it, and whether only when asked for."""

    name: str
    trades: tuple[str, ...]
    make: Callable[[Results], dict[str, bytes]]
    on_request: bool = False

    def possible(self, results: Results) -> bool:
        """Whether there are plans to show: its own trade's, or for a document of all trades at least one."""
        return any(getattr(results, trade) is not None for trade in self.trades)


def chosen(only: Iterable[str]) -> tuple[Maker, ...]:
    """Return the makers asked for by name (``templates.pdf`` or ``templates``); all when nothing is asked.

    Raises
    ------
    UsageError
        When a name is not known.
    """
    names = list(only)
    if not names:
        return tuple(m for m in MAKERS if not m.on_request)
    # by whole name, by the name before its dot where that is one document's, and by template-svg for template.svg
    known = {m.name.split(".")[0].rstrip("/"): m for m in reversed(MAKERS)}
    known |= {m.name.replace(".", "-"): m for m in MAKERS} | {m.name: m for m in MAKERS}
    picked = []
    for name in names:
        maker = known.get(name.rstrip("/"))
        if maker is None:
            raise UsageError(
                say("there is no document {file}", file=code(name)),
                "--only",
                say("one of {files}", files=every([code(m.name) for m in MAKERS])),
            )
        if maker not in picked:
            picked.append(maker)
    return tuple(m for m in MAKERS if m in picked)


def _summary(results: Results) -> dict[str, bytes]:
    from cutplan.report.summary import summary

    text = json.dumps(summary(results), indent=1, sort_keys=True, ensure_ascii=False, allow_nan=False)
    return {"summary.json": (text + "\n").encode()}


def _templates(results: Results) -> dict[str, bytes]:
    from cutplan.drawing.model import Document
    from cutplan.drawing.pdf import render_pdf
    from cutplan.texts.by_id import told

    assert results.templates is not None
    job = results.job
    document = Document(
        results.templates.pages,
        title=told("paper.document", job.shown.language, title=job.about.title),
        subject=told("paper.document.subject", job.shown.language, revision=job.about.revision),
        language=job.shown.language,
        keywords=(told("paper.document.keyword", job.shown.language), "1:1"),
    )
    return {"templates.pdf": render_pdf(document)}


def _dxf(results: Results, which: str) -> bytes:
    from cutplan.sheets.localised import localised_layers

    job = results.job
    if which == "opening":
        from cutplan.opening.files import opening_layers

        assert results.opening is not None
        layers = opening_layers(job, results.opening)
    else:
        from cutplan.cutting.files.drawings import net_layers, path_layers

        assert results.cut is not None
        layers = net_layers(job, results.cut) if which == "net" else path_layers(job, results.cut)
    layers = localised_layers(layers, job.shown.language)

    def write() -> bytes:
        from cutplan.files.dxf.write import dxf_text

        return dxf_text(layers, version=job.cutting.dxf_version).encode("ascii")

    return by_content(f"dxf {job.cutting.dxf_version}", layers, write)


def _cutter(results: Results, kind: str) -> bytes:
    from cutplan.templates.printed.cutter import cutter_layers

    layers = cutter_layers(results.job)
    if kind == "svg":
        from cutplan.files.svg.write import svg_text

        return svg_text(layers).encode()
    from cutplan.files.dxf.write import dxf_text

    return dxf_text(layers, version=results.job.cutting.dxf_version).encode("ascii")


def _ngc(results: Results) -> dict[str, bytes]:
    from cutplan.cutting.files.ngc import ngc_text

    assert results.cut is not None
    return {"path.ngc": ngc_text(results.job, results.cut).encode("ascii")}


def _job_sheet(results: Results) -> dict[str, bytes]:
    from cutplan.drawing.pdf import render_pdf
    from cutplan.sheets.job_sheet import job_sheet

    return {"job-sheet.pdf": render_pdf(job_sheet(results))}


def _report(results: Results) -> dict[str, bytes]:
    from cutplan.report.report import report_html

    return {"report.html": report_html(results).encode()}


def _picture(page: Page) -> bytes:
    from cutplan.report.previews import PREVIEW_DPI

    def draw() -> bytes:
        from cutplan.drawing.png import render_png

        return render_png(page, dpi=PREVIEW_DPI)

    return by_content(f"png {PREVIEW_DPI}", page, draw)


def _reading(results: Results) -> dict[str, bytes]:
    """How the drawing of the job was read; nothing for a plate that comes from none."""
    reading: Drawing | None = results.once("reading", lambda: None)
    if reading is None:
        return {}
    from cutplan.report.reading_picture import reading_page

    return {"reading": _picture(reading_page(reading, reader=Reader(results.job.shown.language)))}


def _previews(results: Results) -> dict[str, bytes]:
    from cutplan.report.previews import plan_previews, tile_previews
    from cutplan.report.welding.colour_maps import colour_maps
    from cutplan.sheets.localised import localised

    spoken = localised(results, results.job.shown.language)  # as the report does, so that they share what is drawn

    def draw() -> dict[str, bytes]:
        return {name: _picture(page) for name, page in plan_previews(spoken).items()}

    tiles = {name: _picture(page) for name, page in tile_previews(spoken).items()}
    drawn = _reading(results) | tiles | spoken.kept("previews", draw) | colour_maps(spoken)
    return {f"{PREVIEWS}{name}.png": data for name, data in drawn.items()}


_ALL = ("templates", "cut", "opening", "weld")

#: Every document of a set, in the order in which they are listed to the user.
MAKERS: tuple[Maker, ...] = (
    Maker("summary.json", _ALL, _summary),
    Maker("templates.pdf", ("templates",), _templates),
    Maker("plate-net.dxf", ("cut",), lambda r: {"plate-net.dxf": _dxf(r, "net")}),
    Maker("plate-path.dxf", ("cut",), lambda r: {"plate-path.dxf": _dxf(r, "path")}),
    Maker("opening.dxf", ("opening",), lambda r: {"opening.dxf": _dxf(r, "opening")}),
    Maker("job-sheet.pdf", _ALL, _job_sheet),
    Maker("report.html", _ALL, _report),
    Maker(PREVIEWS, _ALL, _previews),
    Maker("path.ngc", ("cut",), _ngc, on_request=True),
    Maker("template.svg", ("templates",), lambda r: {"template.svg": _cutter(r, "svg")}, on_request=True),
    Maker("template.dxf", ("templates",), lambda r: {"template.dxf": _cutter(r, "dxf")}, on_request=True),
)
