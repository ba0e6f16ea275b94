"""The tutorial of the page, done as it is written; its pictures are made here (``CUTPLAN_PICTURES=1`` keeps them)."""

from __future__ import annotations

import io
import os
import re
import shutil
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from browser_help import Watched, chromium
from page_server import PageServer
from PIL import Image

if TYPE_CHECKING:
    from playwright.sync_api import Browser

pytestmark = pytest.mark.slow
DOCS = Path(__file__).parents[2] / "docs"
TUTORIAL = (DOCS / "tutorial-page.md").read_text(encoding="utf-8")
PICTURES = set(re.findall(r"pictures/(page-[a-z]+\.png)", TUTORIAL))


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as started:
        yield started


class Reader:
    """Somebody who does what the tutorial says, and counts each action."""

    def __init__(self, browser: Browser, server: PageServer, pictures: Path) -> None:
        self.watched = Watched(browser, server.address, 1180, 760)
        self.page = self.watched.page
        self.pictures = pictures
        self.actions = 0

    def click(self, what: str) -> None:
        self.actions += 1
        self.page.click(what)

    def type(self, where: str, text: str) -> None:
        self.actions += 1
        self.page.fill(where, text)

    def panel(self, name: str) -> None:
        self.click(f".parts button:text-is('{name}')")

    def until(self, done: Callable[[], bool]) -> None:
        for _ in range(400):
            if done():
                return
            self.page.wait_for_timeout(50)
        assert done()

    def picture(self, name: str, of: str = "body") -> None:
        self.page.evaluate(
            "const said = document.getElementById('said'); if (said) said.textContent = said.className = ''"
        )
        self.page.evaluate("window.scrollTo(0, 0)")
        self.page.locator(of).first.scroll_into_view_if_needed()
        self.page.wait_for_timeout(500)
        raw = Image.open(io.BytesIO(self.page.screenshot()))
        raw.convert("RGB").quantize(64).save(self.pictures / name, optimize=True)


def pads(job: Path) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = tomllib.loads(job.read_text(encoding="utf-8")).get("pad", [])
    return found


def test_the_tutorial_from_readings_to_the_zip(browser: Browser, tmp_path: Path) -> None:
    found = re.search(r"```text\n(.*?)```", TUTORIAL, re.S)
    assert found is not None
    lines = found[1].strip()
    assert len(lines.splitlines()) == 27
    pictures = tmp_path / "pictures"
    pictures.mkdir()
    with PageServer(tmp_path / "jobs") as server:
        reader = Reader(browser, server, pictures)
        page = reader.page
        page.wait_for_selector(".start")
        reader.type("input.wide", "Mount plate, rear crossmember")
        reader.type("[data-key='start-plate']", "4")
        reader.type("[data-key='start-skin']", "2.5")
        page.evaluate("document.querySelector('.start > .hint').hidden = true")  # where jobs lie on this machine
        reader.picture("page-start.png")
        reader.click(".card:has-text('tape')")
        reader.type("textarea", lines)
        reader.click("text=Take over")
        page.wait_for_selector(".readings .wrong:has-text('C – H2')")
        page.wait_for_selector(".picture svg")
        page.evaluate("document.querySelector('.panel fieldset').hidden = true")
        reader.picture("page-tape.png")
        reader.click(".picture >> nth=0")
        page.wait_for_selector(".question", state="detached")
        row = page.locator(".readings li", has_text="C – H2").locator("input")
        reader.actions += 1
        row.fill("143")
        row.press("Enter")
        page.wait_for_selector(".readings .wrong", state="detached")
        for name in "ABCD":
            reader.click(f"[data-key='corner-{name}']")
        reader.click("text=Make this the outline")
        page.wait_for_selector("[data-key='tape-hole']")
        reader.type("[data-key='tape-hole']", "13")
        for name in ("H1", "H2", "H3", "H4", "H5"):
            reader.click(f"[data-key='hole-{name}']")
            page.wait_for_selector(f"[data-key='hole-{name}'][aria-pressed=true]")
        reader.panel("Around it")
        job = server.room / "mount-plate-rear-crossmember" / "job.toml"
        for which, place in enumerate(((70, 95), (240, 95))):
            reader.click("text=Add a pad")
            page.wait_for_selector(f".chosen-box [data-key='pad.{which}.at.0']")
            for axis, value in enumerate(place):
                field = page.locator(f".chosen-box [data-key='pad.{which}.at.{axis}']")
                reader.actions += 1
                field.fill(str(value))
                field.press("Enter")
                reader.until(lambda w=which, x=axis, v=value: pads(job)[w]["at"][x] == v)  # type: ignore[misc]
        reader.click("text=Add a brace")
        page.wait_for_selector(".chosen-box [data-key='brace.size']")
        reader.click(".panel button:text-is('P1')")
        reader.picture("page-around.png")
        data = tomllib.loads(job.read_text(encoding="utf-8"))
        assert [p["at"] for p in data["pad"]] == [[70, 95], [240, 95]] and len(data["plate"]["hole"]) == 5
        reader.panel("Documents")
        reader.click("text=Make the set")
        page.wait_for_selector("text=The whole set as a zip", timeout=120_000)
        page.wait_for_selector("img.sheet")
        reader.picture("page-documents.png", "img.sheet")
        with page.expect_download() as saved:
            reader.click("text=The whole set as a zip")
        assert Path(saved.value.path()).stat().st_size > 100_000
        done = reader.actions
        reader.panel("Step by step")
        page.click(".panel .options button:has-text('Welding')")
        for _ in range(22):
            page.click("[aria-label='Next step']")
        reader.picture("page-steps.png", ".step-picture svg")
        assert reader.watched.errors == []
        shutil.copyfile(job.parent / "documents" / "report.html", tmp_path / "report.html")
    bench = Watched(browser, (tmp_path / "report.html").as_uri() + "#bench", 420, 780)
    bench.page.select_option("#bench select", label="Welding")
    while not bench.page.locator(".bench-wait").count():
        bench.page.click(".bench-tick")
    reader.page = bench.page
    reader.picture("page-bench.png")
    assert {p.name for p in pictures.iterdir()} == PICTURES
    assert f"takes {done} actions" in TUTORIAL
    if os.environ.get("CUTPLAN_PICTURES"):
        for path in pictures.iterdir():
            shutil.copyfile(path, DOCS / "pictures" / path.name)
    assert all((DOCS / "pictures" / name).is_file() for name in PICTURES)
