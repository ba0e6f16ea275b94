"""The report in a real browser: no error, no request, sliders move the pictures, keys work, no side scroll.

Needs Chromium (Debian package ``chromium``), Playwright for Python, and axe-core (``npm install --no-save axe-core`` in
the root of the repository, or its path in ``CUTPLAN_AXE``). Where one is missing the tests skip with that sentence;
with ``CI`` set they fail instead.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from sheet_results import small

from cutplan.report.report import report_html

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.slow
ROOT = Path(__file__).parents[2]
CHROMIUM = os.environ.get("CUTPLAN_CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser") or ""


def _missing(sentence: str) -> None:
    if os.environ.get("CI"):
        pytest.fail(sentence)
    pytest.skip(sentence)


def _axe() -> Path:
    for place in (os.environ.get("CUTPLAN_AXE", ""), ROOT / "node_modules/axe-core/axe.min.js"):
        if place and Path(place).is_file():
            return Path(place)
    _missing("axe-core is missing: call npm install --no-save axe-core in the root of the repository")
    raise AssertionError("unreachable")


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        _missing("Playwright is missing: pip install playwright")
    if not CHROMIUM:
        _missing("Chromium is missing: install the package chromium")
    with sync_playwright() as play:
        started = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox", "--headless"])
        yield started
        started.close()


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("report")
    found = {}
    for lang in ("en", "de"):
        found[lang] = folder / f"report-{lang}.html"
        found[lang].write_text(report_html(small(), lang), encoding="utf-8")
    return found


class Opened:
    """A page with everything that went wrong on it."""

    def __init__(self, browser: Browser, path: Path, width: int = 1280, height: int = 900) -> None:
        self.errors: list[str] = []
        self.requests: list[str] = []
        self.page: Page = browser.new_page(viewport={"width": width, "height": height})
        self.page.on("console", lambda m: self.errors.append(m.text) if m.type in ("error", "warning") else None)
        self.page.on("pageerror", lambda e: self.errors.append(str(e)))
        self.page.on("request", lambda r: self.requests.append(r.url))
        self.page.goto(path.as_uri())


@pytest.fixture
def opened(browser: Browser, files: dict[str, Path]) -> Iterator[Opened]:
    found = Opened(browser, files["en"])
    yield found
    found.page.close()


def test_no_console_error_and_no_request_but_the_file_itself(opened: Opened, files: dict[str, Path]) -> None:
    for name in ("cut", "weld"):
        opened.page.locator(f"#{name}-player [data-do=back]").click()
        opened.page.locator(f"#{name}-player [data-do=next]").click()
    opened.page.mouse.wheel(0, 20000)
    assert opened.errors == []
    assert opened.requests == [files["en"].as_uri()]


def test_a_request_would_be_refused_by_the_page_itself(opened: Opened) -> None:
    said = opened.page.evaluate("fetch('https://example.org/').then(() => 'sent', () => 'refused')")
    assert said == "refused"
    assert any("Content Security Policy" in e or "violates" in e for e in opened.errors)


def _set(page: Page, slider: str, value: int) -> None:
    page.locator(slider).evaluate(
        "(el, v) => { el.value = v; el.dispatchEvent(new Event('input', { bubbles: true })); }", str(value)
    )


def _pixels(page: Page) -> str:
    return str(page.evaluate("document.getElementById('shape').toDataURL()"))


def test_the_weld_slider_moves_map_shape_and_words(opened: Opened) -> None:
    page = opened.page
    last = int(page.locator("#weld-slider").get_attribute("max") or 0)
    results = small()
    assert results.weld is not None
    beads = len(results.weld.tacks) + len(results.weld.stitches)
    assert last == beads + 1  # the release of the brace comes last
    _set(page, "#weld-slider", 0)
    assert page.locator("#weld-figure .stitch.off").count() == len(results.weld.stitches)
    first, words = _pixels(page), page.locator("#weld-said").inner_text()
    seen = [first]
    for step in (len(results.weld.tacks) + 1, last // 2 + 3, last):
        _set(page, "#weld-slider", step)
        seen.append(_pixels(page))
        assert page.locator("#weld-said").inner_text() != words
    assert len(set(seen)) == len(seen)
    assert page.locator("#weld-figure .stitch.off").count() == 0
    assert "0.00 mm" not in page.locator("#weld-said").inner_text()


def test_the_step_marks_the_bead_that_the_words_name(opened: Opened) -> None:
    page = opened.page
    results = small()
    assert results.weld is not None
    tacks = len(results.weld.tacks)
    for k in (1, 5):
        _set(page, "#weld-slider", tacks + k)
        assert page.locator(f"#weld-figure .stitch-{k}.playing").count() == 1
        assert page.locator("#weld-figure .stitch.playing").count() == 1
        name = results.weld.stitches[k - 1].name
        assert f"stitch {k} ({name})" in page.locator("#weld-said").inner_text()


def test_the_cut_slider_shows_one_path_after_the_other(opened: Opened) -> None:
    page = opened.page
    results = small()
    assert results.cut is not None
    count = len(results.cut.paths)
    for step in range(count + 1):
        _set(page, "#cut-slider", step)
        assert page.locator("#cut-figure .path.off").count() == count - step
    assert "outline" in page.locator("#cut-said").inner_text()


def test_play_runs_to_the_end_and_stops(browser: Browser, files: dict[str, Path]) -> None:
    found = Opened(browser, files["en"])
    page = found.page
    page.clock.install()
    page.goto(files["en"].as_uri())
    page.locator("#weld-player [data-do=play]").click()
    assert page.locator("#weld-player [data-do=play]").get_attribute("aria-pressed") == "true"
    page.clock.run_for(700 * 4 + 50)
    assert page.locator("#weld-slider").input_value() == "4"
    page.clock.run_for(700 * 200)
    assert page.locator("#weld-slider").input_value() == page.locator("#weld-slider").get_attribute("max")
    assert page.locator("#weld-player [data-do=play]").get_attribute("aria-pressed") == "false"
    page.close()


def test_everything_works_from_the_keyboard(opened: Opened) -> None:
    page = opened.page
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    reached = set()
    for _ in range(90):
        page.keyboard.press("Tab")
        reached.add(page.evaluate("document.activeElement.id || document.activeElement.dataset.do || ''"))
    assert {"cut-slider", "weld-slider", "turn", "play", "back", "next"} <= reached
    page.locator("#weld-slider").focus()
    page.keyboard.press("Home")
    page.keyboard.press("ArrowRight")
    assert page.locator("#weld-slider").input_value() == "1"
    assert "tack 1 (" in page.locator("#weld-said").inner_text()
    page.locator("#weld-player [data-do=next]").focus()
    page.keyboard.press("Enter")
    assert page.locator("#weld-slider").input_value() == "2"


def test_zoom_and_home_again(opened: Opened) -> None:
    page = opened.page
    svg, buttons = page.locator("#weld-figure svg"), page.locator("#weld-figure [data-zoom]")
    home = svg.get_attribute("viewBox")
    buttons.nth(0).click()
    assert svg.get_attribute("viewBox") != home
    wide = float((svg.get_attribute("viewBox") or "0 0 0 0").split()[2])
    assert wide < float((home or "0 0 0 0").split()[2])
    buttons.nth(2).click()
    assert [float(v) for v in (svg.get_attribute("viewBox") or "").split()] == [float(v) for v in (home or "").split()]


@pytest.mark.parametrize("lang", ["en", "de"])
@pytest.mark.parametrize("width", [320, 390, 768, 1280])
def test_no_side_scroll(browser: Browser, files: dict[str, Path], width: int, lang: str) -> None:
    found = Opened(browser, files[lang], width, 800)
    wide = found.page.evaluate("[document.documentElement.scrollWidth, document.documentElement.clientWidth]")
    assert wide[0] <= wide[1]
    assert found.errors == []
    found.page.close()


@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize("lang", ["en", "de"])
def test_axe_finds_nothing(browser: Browser, files: dict[str, Path], width: int, lang: str) -> None:
    axe = _axe().read_text(encoding="utf-8")
    page = browser.new_page(viewport={"width": width, "height": 900}, bypass_csp=True)
    page.goto(files[lang].as_uri())
    page.evaluate(axe)
    found = page.evaluate(
        "axe.run(document, {resultTypes: ['violations']}).then(r => r.violations.map("
        "v => v.id + ': ' + v.nodes.slice(0, 3).map(n => n.html.slice(0, 120)).join(' | ')))"
    )
    page.close()
    assert found == []


def test_axe_would_see_a_fault(browser: Browser, files: dict[str, Path]) -> None:
    axe = _axe().read_text(encoding="utf-8")
    page = browser.new_page(bypass_csp=True)
    page.goto(files["en"].as_uri())
    page.evaluate("document.getElementById('weld-slider').removeAttribute('aria-label')")
    page.evaluate(axe)
    found = page.evaluate("axe.run().then(r => r.violations.map(v => v.id))")
    page.close()
    assert found == ["label"]


def test_it_prints_without_controls(browser: Browser, files: dict[str, Path], tmp_path: Path) -> None:
    found = Opened(browser, files["en"])
    found.page.emulate_media(media="print")
    assert found.page.locator("#weld-player").is_visible() is False
    assert found.page.locator("nav").is_visible() is False
    assert found.page.locator("#weld-figure svg").is_visible()
    pdf = tmp_path / "report.pdf"
    found.page.pdf(path=str(pdf), format="A4")
    assert pdf.read_bytes()[:5] == b"%PDF-"
    found.page.close()


def test_without_script_the_pictures_and_words_are_there(browser: Browser, files: dict[str, Path]) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(files["en"].as_uri())
    assert page.locator("#weld-figure svg").is_visible()
    assert page.locator("#weld-figure svg .stitch").count() > 5
    assert page.locator("#all-figures tbody tr").count() > 40
    context.close()


def test_texts_of_drawings_can_be_read_on_a_phone(browser: Browser, files: dict[str, Path]) -> None:
    """Every text of every drawing is at least 11 px high at 390 px."""
    found = Opened(browser, files["en"], 390, 800)
    found.page.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
    least = found.page.evaluate(
        """Math.min(...[...document.querySelectorAll('figure svg text')].map(
            (t) => parseFloat(t.getAttribute('font-size')) * t.ownerSVGElement.getBoundingClientRect().width
                / t.ownerSVGElement.viewBox.baseVal.width))"""
    )
    assert least >= 11.0
    found.page.close()


def test_steps_are_folded_on_a_phone_and_the_chapters_stay_in_reach(browser: Browser, files: dict[str, Path]) -> None:
    found = Opened(browser, files["en"], 390, 800)
    assert found.page.locator(".steps details[open]").count() == 1
    folds = found.page.locator(".fold")
    assert folds.count() > 1 and found.page.locator(".fold[open]").count() == 0  # long tables as well
    folds.first.locator("summary").click()
    assert folds.first.locator("table").is_visible()
    found.page.evaluate("window.scrollTo(0, document.body.scrollHeight / 2)")
    assert found.page.locator("nav").bounding_box()["y"] < 5  # type: ignore[index]
    found.page.close()


def test_nothing_is_folded_on_a_wide_screen(browser: Browser, files: dict[str, Path]) -> None:
    found = Opened(browser, files["en"], 1280, 900)
    assert found.page.locator("details:not([open])").count() == 0
    assert not found.page.locator(".fold summary").first.is_visible()
    assert found.page.locator(".fold caption").first.is_visible()
    found.page.close()


def test_dark_scheme(browser: Browser, files: dict[str, Path]) -> None:
    page = browser.new_page(color_scheme="dark")
    page.goto(files["en"].as_uri())
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(20, 23, 26)"
    assert page.evaluate("getComputedStyle(document.querySelector('figure')).backgroundColor") == "rgb(255, 255, 255)"
    # the button is drawn the other way round: dark words on a light ground
    button = page.evaluate("(s => [s.color, s.backgroundColor])(getComputedStyle(document.querySelector('.to-bench')))")
    assert button == ["rgb(20, 23, 26)", "rgb(236, 239, 241)"]
    page.close()
