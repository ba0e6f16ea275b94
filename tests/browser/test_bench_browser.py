"""The bench view of the offline report in a real browser: ticks, waits, readings judged, kept and saved; no server."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from browser_help import Watched, chromium
from sheet_results import small

from cutplan.inspection.readings import read_readings
from cutplan.inspection.verdict import inspect
from cutplan.report.report import report_html

if TYPE_CHECKING:
    from playwright.sync_api import Browser

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as started:
        yield started


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> str:
    path = tmp_path_factory.mktemp("bench") / "report.html"
    path.write_text(report_html(small()), encoding="utf-8")
    return path.as_uri()


@pytest.fixture
def bench(browser: Browser, report: str) -> Iterator[Watched]:
    watched = Watched(browser, report, 390, 844)
    watched.page.evaluate("localStorage.clear()")
    watched.page.click(".to-bench")
    yield watched
    assert watched.errors == []
    assert [r for r in watched.requests if not r.startswith(("file:", "blob:"))] == []
    watched.page.close()


def to_readings(bench: Watched, part: str, what: str) -> None:
    """Go on from the beginning of a part to its first step that asks for such a reading."""
    bench.page.select_option("#bench select", label=part)
    while not bench.page.locator(".bench-reading", has_text=what).count():
        bench.page.click(".bench-move button >> nth=1")


def test_a_tick_goes_on_and_is_kept_over_a_reload(bench: Watched) -> None:
    page = bench.page
    first = page.inner_text("#bench h1")
    page.click(".bench-tick")
    assert page.inner_text("#bench h1") != first
    page.reload()
    assert page.is_visible("#bench") and page.inner_text("#bench h1") != first
    page.click(".bench-move button >> nth=0")
    assert page.is_checked("#bench-tick")
    assert "undefined" not in page.inner_text("#bench") and "null" not in page.inner_text("#bench")


def test_the_wait_before_a_bead_counts_down_from_the_plan(bench: Watched) -> None:
    page, plan = bench.page, small().weld
    assert plan is not None
    page.select_option("#bench select", label="Welding")
    while not page.locator(".bench-wait").count():
        page.click(".bench-tick")
    waits = {round(b.wait_s) for b in (*plan.tacks, *plan.stitches) if b.wait_s}
    minutes, seconds = page.inner_text(".bench-clock").split(":")
    begun = int(minutes) * 60 + int(seconds)
    assert any(w - 2 <= begun <= w for w in waits)  # it began with the tick of the step before
    page.wait_for_timeout(2200)
    minutes, seconds = page.inner_text(".bench-clock").split(":")
    assert begun - 4 <= int(minutes) * 60 + int(seconds) <= begun - 2
    page.click("text=Skip the wait")
    assert page.locator(".bench-wait.over").count() == 1


def test_readings_are_judged_kept_and_saved_as_inspect_reads_them(bench: Watched) -> None:
    page, results = bench.page, small()
    to_readings(bench, "Fit-up", "gap")
    fields = page.locator("#bench input[type=text]")
    fields.nth(0).fill("1,3")
    fields.nth(1).fill("9")
    fields.nth(2).fill("wide")
    verdicts = page.locator(".bench-verdict").all_inner_texts()
    assert verdicts[:3] == ["within", "out: +7.80 mm", "this is no length"]  # exact: the plan is 1.2 mm
    fields.nth(2).fill("")
    page.reload()
    to_readings(bench, "Fit-up", "gap")
    assert page.locator("#bench input[type=text]").nth(0).input_value() == "1,3"
    with page.expect_download() as saved:
        page.click("text=Save measured.csv")
    assert saved.value.suggested_filename == "measured.csv"
    rows = read_readings(Path(saved.value.path()).read_text(encoding="utf-8"))
    assert [r.measured_mm for r in rows[:3]] == [1.3, 9.0, None]
    found = inspect(results.job, results, rows)
    assert [c.ok for c in found.checked] == [True, False]


def test_datum_distances_are_asked_with_their_plan_and_saved(bench: Watched) -> None:
    page = bench.page
    page.select_option("#bench select", label="The opening")
    asked = page.locator(".bench-reading")
    assert asked.count() > 5 and "plan" in asked.nth(0).inner_text() and "allowed" not in asked.nth(0).inner_text()
    asked.nth(0).locator("input").fill("101,5")
    assert asked.nth(0).locator(".bench-verdict").inner_text() == ""  # judged with the others of its stage
    with page.expect_download() as saved:
        page.click("text=Save measured.csv")
    rows = read_readings(Path(saved.value.path()).read_text(encoding="utf-8"))
    assert [(r.kind, r.measured_mm) for r in rows if r.measured_mm is not None] == [("before", 101.5)]


def test_dial_readings_are_judged_about_their_plane(bench: Watched) -> None:
    page = bench.page
    to_readings(bench, "After welding", "dial A")
    dials = page.locator(".bench-reading:has-text('dial A')")
    count = dials.count()
    reading = page.evaluate(
        "JSON.parse(document.getElementById('data').textContent).bench.readings.filter(r => r.kind === 'dial' && r.name === 'A')"
    )
    for i in range(count):
        x, y = reading[i]["place"]
        dials.nth(i).locator("input").fill(f"{0.01 * x - 0.02 * y:.4f}")  # exact: a tilted plane is flat
    assert dials.nth(count - 1).locator(".bench-verdict").inner_text().startswith("out of flat 0.00 mm")
    dials.nth(0).locator("input").fill("9")
    assert "bad" in (dials.nth(0).locator(".bench-verdict").get_attribute("class") or "")


def test_keys_lead_through_the_steps(bench: Watched) -> None:
    page = bench.page
    first = page.inner_text(".bench-count")
    page.keyboard.press("ArrowRight")
    assert page.inner_text(".bench-count") != first
    page.keyboard.press("ArrowLeft")
    assert page.inner_text(".bench-count") == first
    page.keyboard.press("Escape")
    assert page.is_hidden("#bench") and page.is_visible("#main")


@pytest.mark.parametrize("width", [390, 820, 1280])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_side_scroll_and_nothing_for_axe(browser: Browser, report: str, width: int, scheme: str) -> None:
    watched = Watched(browser, report + "#bench", width, 900, color_scheme=scheme)
    page = watched.page
    page.select_option("#bench select", label="Welding")
    assert watched.side_scroll <= 0 and watched.violations() == []
    to_readings(watched, "Fit-up", "gap")
    page.locator("#bench input[type=text]").nth(0).fill("9")
    assert watched.side_scroll <= 0 and watched.violations() == []
    page.close()
