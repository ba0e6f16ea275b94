"""The study of the steering on the page: begun, its points edited, figures and map following, taken over into the job."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from browser_help import Watched, chromium
from page_server import PageServer

if TYPE_CHECKING:
    from playwright.sync_api import Browser

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as started:
        yield started


def test_a_study_from_its_points_to_the_job(browser: Browser, tmp_path: Path) -> None:
    with PageServer(tmp_path / "jobs") as server:
        seen = Watched(browser, server.address, 820, 1100)
        page = seen.page
        page.click(".samples button:text-is('pickup-gear-plate')")
        page.wait_for_selector(".world .metal")
        folder = server.room / "pickup-gear-plate"

        def moved() -> dict[str, Any]:
            found: dict[str, Any] = tomllib.loads((folder / "job.toml").read_text(encoding="utf-8"))["moved"]
            return found

        page.click(".parts button:text-is('Steering')")
        page.wait_for_selector("h2:has-text('35.0 mm forward')", timeout=60_000)
        page.wait_for_selector("dd:text-is('this place')")
        map_ = page.locator("img[src*='picture/map']")
        map_.scroll_into_view_if_needed()
        for _ in range(600):
            if map_.evaluate("i => i.naturalWidth") > 500:
                break
            page.wait_for_timeout(100)
        assert map_.evaluate("i => i.naturalWidth") > 500
        field = page.locator("[data-key='study.left.outer.0']")
        field.fill("-116")
        field.press("Enter")
        page.wait_for_selector("dd:has-text('another place')", timeout=60_000)
        assert "outer = [-116, 540, 255]       # tie rod" in (folder / "study.toml").read_text(encoding="utf-8")
        before = moved()["shift"]
        page.click("text=Take this place over again")
        page.wait_for_selector("dd:text-is('this place')", timeout=30_000)
        assert moved()["shift"] != before and moved()["holes"] == ["H1", "H2"]
        limit = page.locator("[data-key='study.wish.inner_lock.at_most']")
        limit.fill("40")
        limit.press("Enter")
        page.wait_for_selector("li.error:has-text('inner wheel at full lock: at most')", timeout=60_000)
        assert page.locator("button:text-is('Take this place over again')").is_disabled()  # a wish is not held
        page.click("text=Undo in the study")
        for _ in range(200):
            if "at_most = 52" in (folder / "study.toml").read_text(encoding="utf-8"):
                break
            page.wait_for_timeout(100)
        assert "at_most = 52" in (folder / "study.toml").read_text(encoding="utf-8")
        page.wait_for_selector("li.error", state="detached", timeout=60_000)
        page.wait_for_selector(".figures-box:not(.old) h2:has-text('Move the gear')", timeout=60_000)
        assert seen.side_scroll == 0 and seen.violations() == []
        assert seen.errors == []
        assert server.stop() == 0
