"""The page of reliability shows the rows that its benchmark kept, and no others."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from benchmarks.reliability_page import PAGE, kept, page


def test_the_page_is_made_from_the_rows() -> None:
    assert PAGE.read_text(encoding="utf-8") == page(kept())
    fewer = kept()
    fewer["fuzz"] = fewer["fuzz"][1:]
    assert page(fewer) != page(kept())
