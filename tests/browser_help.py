"""What the tests in a real browser share: Chromium, the accessibility checker, and pages that remember every fault."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

ROOT = Path(__file__).parents[1]
CHROMIUM = os.environ.get("CUTPLAN_CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser") or ""


def missing(sentence: str) -> None:
    """Skip with a sentence; with ``CI`` set, fail."""
    if os.environ.get("CI"):
        pytest.fail(sentence)
    pytest.skip(sentence)


def axe() -> Path:
    """Return the accessibility checker's script."""
    for place in (os.environ.get("CUTPLAN_AXE", ""), ROOT / "node_modules/axe-core/axe.min.js"):
        if place and Path(place).is_file():
            return Path(place)
    missing("axe-core is missing: call npm install --no-save axe-core in the root of the repository")
    raise AssertionError("unreachable")


@contextmanager
def chromium() -> Iterator[Browser]:
    """Start the system's Chromium."""
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        missing("Playwright is missing: pip install playwright")
    if not CHROMIUM:
        missing("Chromium is missing: install the package chromium")
    with sync_playwright() as play:
        started = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox", "--headless"])
        yield started
        started.close()


class Watched:
    """A page with everything that went wrong on it and everything that it asked for."""

    def __init__(self, browser: Browser, address: str, width: int = 1280, height: int = 900, **context: Any) -> None:
        self.errors: list[str] = []
        self.requests: list[str] = []
        self.page: Page = browser.new_page(viewport={"width": width, "height": height}, **context)
        self.page.on("console", lambda m: self.errors.append(m.text) if m.type in ("error", "warning") else None)
        self.page.on("pageerror", lambda e: self.errors.append(str(e)))
        self.page.on("request", lambda r: self.requests.append(r.url))
        self.page.goto(address)

    @property
    def side_scroll(self) -> int:
        """Pixels by which the page is wider than its window."""
        return int(self.page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth"))

    def violations(self) -> list[str]:
        """Return what the accessibility checker objects to."""
        if not self.page.evaluate("typeof window.axe === 'object'"):
            self.page.evaluate(axe().read_text(encoding="utf-8"))
        found = self.page.evaluate("async () => (await axe.run(document)).violations")
        return [f"{v['id']}: {n['html'][:160]} {n.get('failureSummary', '')[:300]}" for v in found for n in v["nodes"]]
