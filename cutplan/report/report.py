"""The report: one HTML file that asks nothing of any network, to look at, step through and print."""

from __future__ import annotations

import json
from base64 import b64encode
from collections.abc import Callable
from functools import cache, partial
from hashlib import sha256
from importlib.resources import files
from typing import Any

from cutplan.inspection.readings import COLUMNS
from cutplan.report.bench import bench_readings, bench_steps
from cutplan.report.bench_words import bench_words
from cutplan.report.html import Raw, tag
from cutplan.report.parts import (
    after_section,
    cautions_section,
    cutting_section,
    figures_section,
    fitup_section,
    head_section,
    opening_section,
    template_section,
)
from cutplan.report.welding.play import packed_shape, weld_steps
from cutplan.report.welding.weld import weld_section
from cutplan.sheets.localised import localised
from cutplan.sheets.results import Results
from cutplan.texts import Reader
from cutplan.texts.by_id import told

#: Sections that show nothing of paper, templates and findings: they stay as they are where only those changed.
KEPT = ("opening", "fitup", "welding", "after")


@cache
def _asset(name: str) -> str:
    return files("cutplan.report").joinpath(name).read_text(encoding="utf-8")


def _hash(source: str) -> str:
    return "'sha256-" + b64encode(sha256(source.encode("utf-8")).digest()).decode("ascii") + "'"


def report_html(results: Results, lang: str | None = None) -> str:
    """Return the report as one offline HTML file.

    Parameters
    ----------
    results : Results
        Job and plans; trades that were not planned have no section.
    lang : str or None
        Language of the report; None: the job's.

    Returns
    -------
    str
        HTML with its style, script, drawings and data inside; its content policy forbids every request.
    """
    lang = lang or results.job.shown.language
    results = localised(results, lang)
    style, scripts = _asset("report.css") + _asset("bench.css"), (_asset("report.js"), _asset("bench.js"))
    sections: list[tuple[str, str, Raw]] = []
    for ident, build in SECTIONS:
        work = partial(build, results, lang)
        inside = results.kept(f"{ident} of the report in {lang}", work) if ident in KEPT else work()
        if inside:
            title = told(f"report.{ident}", lang)
            sections.append((ident, title, tag("section", tag("h2", title), *inside, id=ident)))
    policy = (
        f"default-src 'none'; style-src {_hash(style)}; script-src {' '.join(_hash(s) for s in scripts)}; img-src data:; base-uri 'none'; "
        "form-action 'none'"
    )
    title = told("report.title", lang, title=results.job.about.title, revision=results.job.about.revision)
    links = tag(
        "nav",
        tag("ul", *(tag("li", tag("a", t, href=f"#{i}")) for i, t, _ in sections)),
        aria_label=told("report.parts", lang),
    )
    head = tag(
        "head",
        tag("meta", charset="utf-8"),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("meta", http_equiv="Content-Security-Policy", content=policy),
        tag("title", title),
        Raw(f"<style>{style}</style>"),
    )
    body = tag(
        "body",
        tag("a", told("report.skip", lang), href="#main", class_="skip"),
        tag("header", *head_section(results, lang)),
        links,
        tag("main", cautions_section(results, lang), *(s for _, _, s in sections), id="main"),
        tag("footer", tag("p", told("report.made", lang)), tag("p", " · ".join(results_line(results)))),
        tag("main", id="bench", hidden=True, aria_label=bench_words(Reader(lang))["bench"]),
        Raw(f'<script type="application/json" id="data">{_data(results, lang)}</script>'),
        *(Raw(f"<script>{s}</script>") for s in scripts),
    )
    return f'<!DOCTYPE html>\n<html lang="{lang}">\n{head}\n{body}\n</html>\n'


def results_line(results: Results) -> list[str]:
    """Return job, revision, date and shop file for the foot of the report."""
    job = results.job
    return [
        t for t in (job.about.title, job.about.revision, job.about.date, job.origin.source, results.shop.source) if t
    ]


def _bench(results: Results, lang: str) -> dict[str, Any]:
    """What the bench view shows, with a name under which a browser keeps ticks and readings of this very plan."""
    shown = {
        "steps": bench_steps(results, lang),
        "readings": bench_readings(results, lang),
        "unit": results.job.shown.display,
    }
    name = sha256(json.dumps(shown, sort_keys=True, ensure_ascii=False).encode("utf-8")).hexdigest()[:20]
    return {**shown, "columns": COLUMNS, "key": f"bench-{name}", "words": bench_words(Reader(lang))}


def _steering_section(results: Results, lang: str) -> list[Raw]:
    if results.steering is None:
        return []
    from cutplan.report.steering import steering_section

    return steering_section(results, lang)


def _steering_steps(results: Results, lang: str) -> list[str]:
    if results.steering is None:
        return []
    from cutplan.report.steering import steering_steps

    return steering_steps(results, lang)


#: The sections by their name, in the order in which they stand.
SECTIONS: tuple[tuple[str, Callable[[Results, str], list[Raw]]], ...] = (
    ("templates", template_section),
    ("cutting", cutting_section),
    ("opening", opening_section),
    ("fitup", fitup_section),
    ("welding", weld_section),
    ("after", after_section),
    ("steering", _steering_section),
    ("figures", figures_section),
)


def _data(results: Results, lang: str) -> str:
    """What the script needs, as JSON that cannot close its element."""
    keys = (
        "play",
        "pause",
        "cut_start",
        "cut_step",
        "weld_start",
        "tack",
        "stitch",
        "release",
        "wait",
        "flat",
    )
    words = {k: told(f"play.{k}", lang) for k in keys}
    whole: dict[str, Any] = {
        "words": words,
        "unit": results.job.shown.display,
        "cut": [p.name for p in results.cut.paths] if results.cut is not None else [],
        "weld": weld_steps(results),
        "shape": packed_shape(results),
        "bench": _bench(results, lang),
        "steering": _steering_steps(results, lang),
    }
    return json.dumps(whole, ensure_ascii=False, separators=(",", ":")).replace("</", "<\\/")
