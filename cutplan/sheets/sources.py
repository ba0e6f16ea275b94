"""The last page of the annex: where every figure comes from."""

from __future__ import annotations

from cutplan.report.facts import facts
from cutplan.sheets.page import Builder
from cutplan.sheets.results import Results


def sources_page(b: Builder, results: Results) -> None:
    """Write the sources of the figures; nothing without any."""
    rows = source_rows(results, b.lang)
    if rows:
        b.page("annex.sources")
        b.table([[b.say("report.figure"), b.say("report.source")], *rows], (0.3, 0.7), tag="sources")


def source_rows(results: Results, lang: str) -> list[list[str]]:
    """Return the figures by where they come from: names of figures, source."""
    by_source: dict[str, list[str]] = {}
    for fact in facts(results, lang):
        by_source.setdefault(fact.source, []).append(fact.label)
    return [["; ".join(dict.fromkeys(labels)), source] for source, labels in by_source.items() if source]
