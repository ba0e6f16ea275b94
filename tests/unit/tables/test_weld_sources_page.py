"""The page of weld sources is the table of weld sources."""

from __future__ import annotations

import runpy
from pathlib import Path

from cutplan.tables.welding.weld_sources import SOURCES

DOCS = Path(__file__).parents[3] / "docs"


def test_page_is_up_to_date_and_names_every_source() -> None:
    page = runpy.run_path(str(DOCS / "build_sources_weld.py"))["page"]()
    written = (DOCS / "sources-weld.md").read_text(encoding="utf-8")
    assert written == page, "run: python docs/build_sources_weld.py"
    assert all(f"`{key}`" in written for key in SOURCES)
