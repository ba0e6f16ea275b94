"""From photographs of a cardboard template to a job, in a real browser: sent, cancelled, traced, looked at, counted."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from browser_help import Watched, chromium
from page_server import PageServer

if TYPE_CHECKING:
    from playwright.sync_api import Browser

pytestmark = pytest.mark.slow
SAMPLE = Path(__file__).parents[2] / "sample_parts" / "horsebox-jack-plate"


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as started:
        yield started


def test_from_four_photographs_to_a_job(browser: Browser, tmp_path: Path) -> None:
    with PageServer(tmp_path / "jobs") as server:
        seen = Watched(browser, server.address, 390, 844)
        page = seen.page
        page.wait_for_selector(".start")
        page.fill("input.wide", "Jack plate")
        page.fill("[data-key='start-plate']", "4")
        page.fill("[data-key='start-skin']", "2.5")
        page.click(".card:has-text('photographs')")
        chooser = ".pictures-start input[type=file]"
        page.set_input_files(chooser, str(SAMPLE / "plate.dxf"))  # no picture: refused in words, nothing kept
        page.wait_for_selector("#said.bad:has-text('no picture')")
        assert page.locator(".shots li").count() == 0
        page.set_input_files(chooser, [str(p) for p in sorted(SAMPLE.glob("card-*.jpg"))])
        page.wait_for_selector(".shots li:not(.sending) >> nth=3")
        page.fill("[data-key='trace-thickness']", "2.5")
        page.fill("[data-key='trace-length']", "399.8")
        page.click("text=Find the plate")
        page.click(".working button:text-is('Cancel')")
        page.wait_for_selector("text=The pictures are still here")
        page.reload()  # what was sent is kept over a reload
        page.wait_for_selector(".start")
        page.fill("input.wide", "Jack plate")
        page.fill("[data-key='start-plate']", "4")
        page.fill("[data-key='start-skin']", "2.5")
        page.click(".card:has-text('photographs')")
        page.wait_for_selector(".shots li >> nth=3")
        page.fill("[data-key='trace-thickness']", "2.5")
        page.fill("[data-key='trace-length']", "399.8")
        page.click("text=Find the plate")
        page.wait_for_selector(".look img", timeout=150_000)
        yes = page.locator("button:text-is('Yes, begin the job with this plate')")
        assert yes.is_disabled()  # nobody has counted yet
        page.fill("[data-key='trace-count']", "5")
        page.wait_for_selector("text=4 were found")
        assert yes.is_disabled() and not list(server.room.glob("*/job.toml"))
        page.fill("[data-key='trace-count']", "4")
        page.wait_for_selector("text=The same as were found")
        assert seen.violations() == [] and seen.side_scroll == 0
        yes.click()
        page.wait_for_selector(".world .metal")
        data = tomllib.loads((server.room / "jack-plate" / "job.toml").read_text(encoding="utf-8"))
        assert data["traced"]["holes"] == 4 and data["traced"]["known"] == ["A1-D2=399.8 mm"]
        assert (server.room / "jack-plate" / "plate.errors.json").is_file()
        assert seen.errors == []
        assert server.stop() == 0
