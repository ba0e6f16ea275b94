"""The documentation: its commands run, its links lead somewhere, its validation page is what the checks give."""

from __future__ import annotations

import csv
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
PAGES = sorted([*DOCS.rglob("*.md"), ROOT / "README.md", ROOT / "DEVELOPERS.md"])
_BLOCK = re.compile(r"^(?P<indent> *)```console\n(?P<body>.*?)^ *```", re.M | re.S)
#: What a page tells to run, and the rows that it tells to add to a form, in order.
_STEP = re.compile(r"^ *```(?P<kind>console|csv)\n(?P<body>.*?)^ *```", re.M | re.S)
_LINK = re.compile(r"!?\[[^\]]*\]\((?P<to>[^)\s]+)\)")


def commands(page: Path) -> list[str]:
    """Return the commands of a page's console blocks, in order."""
    out = []
    for block in _BLOCK.finditer(page.read_text(encoding="utf-8")):
        out += [line.strip() for line in block["body"].splitlines() if line.strip()]
    return out


def steps(page: Path) -> list[tuple[str, str]]:
    """Return commands one by one and blocks of rows for a form, in the order of the page."""
    out: list[tuple[str, str]] = []
    for block in _STEP.finditer(page.read_text(encoding="utf-8")):
        lines = [line.strip() for line in block["body"].splitlines() if line.strip()]
        out += [("csv", "\n".join(lines))] if block["kind"] == "csv" else [("console", line) for line in lines]
    return out


def fill_in(form: Path, *, under_way: bool) -> None:
    """Fill a form as its page tells to: of a part that is being welded the dials after the tacks and the gaps, else the rest."""
    with form.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    for row in rows:
        bench = row["after"] == "tacks" or row["kind"] == "gap"
        if bench if under_way else not row["after"]:
            row["measured"] = row["plan"]
    with form.open("w", encoding="utf-8", newline="") as file:
        out = csv.DictWriter(file, list(rows[0]))
        out.writeheader()
        out.writerows(rows)


def add_rows(form: Path, block: str) -> None:
    """Add the rows of a page to a form with the same columns."""
    head, _, rows = block.partition("\n")
    text = form.read_text(encoding="utf-8")
    assert text.splitlines()[0] == head
    form.write_text(f"{text}{rows}\n", encoding="utf-8")


@pytest.mark.slow
@pytest.mark.parametrize("page", [p for p in PAGES if commands(p)], ids=lambda p: p.stem)
def test_every_command_of_a_page_runs(page: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CUTPLAN_CONFIG", str(tmp_path / "config"))
    for sample in set(re.findall(r"sample_parts/([\w-]+)", page.read_text(encoding="utf-8"))):
        shutil.copytree(ROOT / "sample_parts" / sample, tmp_path / "sample_parts" / sample)
    form = tmp_path / "none.csv"
    for kind, command in steps(page):
        if kind == "csv":
            add_rows(form, command)
            continue
        words = shlex.split(command)
        assert words[0] == "cutplan", command
        done = subprocess.run(
            [sys.executable, "-m", "cutplan", *words[1:]], cwd=tmp_path, capture_output=True, text=True, check=False
        )
        assert done.returncode == 0, f"{command}\n{done.stdout}\n{done.stderr}"
        if "--form" in words:
            form = tmp_path / words[words.index("--form") + 1]
            fill_in(form, under_way=page.stem == "re-plan-at-the-bench")


#: Commands that need what only the reader has: pictures, a filled-in form, a browser, a drawing of his own.
_OF_THE_READER = re.compile(
    r"cutplan (?:trace |page\b|read plate\.dxf|new myjob|check myjob|make myjob|demo|make JOB|new JOB|"
    r"inspect JOB|read DRAWING|coupon KIND)"
)
_FENCE = re.compile(r"^ *```(?P<kind>\w*)\n(?P<body>.*?)^ *```", re.M | re.S)


@pytest.mark.parametrize("page", PAGES, ids=lambda p: p.stem)
def test_a_command_of_a_page_is_run_or_needs_something_of_the_reader(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    shown = [line for m in _FENCE.finditer(text) if m["kind"] != "console" for line in m["body"].splitlines()]
    shown += [line for line in _FENCE.sub("", text).splitlines() if line.startswith("    ")]
    found = [m[1] for line in shown if (m := re.match(r"\s*(?:\S*/)?(cutplan .*)", line))]
    assert [c for c in found if not _OF_THE_READER.match(c)] == []


def test_the_index_leads_to_every_page() -> None:
    index = (DOCS / "index.md").read_text(encoding="utf-8")
    apart = {"index.md"}
    pages = {str(p.relative_to(DOCS)) for p in DOCS.rglob("*.md")} - apart
    assert sorted(p for p in pages if f"({p})" not in index) == []


@pytest.mark.parametrize("page", PAGES, ids=lambda p: p.stem)
def test_links_lead_to_files_that_are_there(page: Path) -> None:
    for link in _LINK.finditer(page.read_text(encoding="utf-8")):
        to = link["to"].split("#")[0]
        if to and not to.startswith(("http://", "https://", "mailto:")):
            assert (page.parent / to).exists(), f"{page.name} links to {to}"


def test_the_guide_names_every_room_and_no_other() -> None:
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    table = guide.partition("| layer | room |")[2].partition("\n\n")[0]
    named = set(re.findall(r"`([a-z_]+)/`", table))
    rooms = {p.name for p in (ROOT / "cutplan").rglob("*") if p.is_dir() and p.name != "__pycache__"}
    assert named == rooms


def test_the_page_of_limits_tells_those_that_are_enforced() -> None:
    from cutplan.files import limits

    page = (DOCS / "limits.md").read_text(encoding="utf-8")
    told = {int(n.replace(",", "")) for n in re.findall(r"\| ([\d,]+) \|", page)}
    inside = {"MAX_BYTES", "MAX_VALUE", "MAX_LISTED"}  # told in other words, or no reason to refuse a drawing
    enforced = {int(getattr(limits, name)) for name in dir(limits) if name.startswith("MAX_") and name not in inside}
    assert told == enforced
    assert f"{limits.MAX_BYTES // 2**20} MiB" in page


def test_readme_and_limits_tell_the_thicknesses_that_are_enforced() -> None:
    from cutplan.files.job.declared.plate import PLATE
    from cutplan.tables.welding.weld_settings import TABLES

    low, high = next(k.limits for k in PLATE.keys if k.name == "thickness")
    thickest = max(row.thickness_mm for table in TABLES for row in table.rows)
    for page in (ROOT / "README.md", DOCS / "limits.md"):
        text = " ".join(page.read_text(encoding="utf-8").split())
        assert f"{low:g} to {high:g} mm thick" in text, page.name
        told = re.findall(r"published for up to ([\d.]+) mm", text)
        assert told == [f"{thickest:g}"], page.name


def test_the_reference_of_keys_names_every_paper_and_process() -> None:
    from cutplan.tables.cutting.cut_process import PROCESSES
    from cutplan.tables.paper import FREE, SHEETS

    page = (DOCS / "job-file.md").read_text(encoding="utf-8")
    assert [
        name for name in (*SHEETS, *FREE, *PROCESSES) if not re.search(rf"(?<!\w){re.escape(name)}(?!\w)", page)
    ] == []


@pytest.mark.parametrize("name", ["job-file.md", "shop-file.md", "study-file.md"])
def test_the_reference_of_keys_is_what_the_declarations_give(name: str) -> None:
    path = f"b.PAGE.with_name('{name}')"
    read = f"{path}.read_text(encoding='utf-8')"
    done = subprocess.run(
        [sys.executable, "-c", f"import build_keys as b; print(b.page({read}, b.PAGES[{path}]), end='')"],
        cwd=DOCS,
        capture_output=True,
        text=True,
        check=True,
    )
    page = (DOCS / name).read_text(encoding="utf-8")
    assert page == done.stdout, "make it anew: python docs/build_keys.py"


def test_the_validation_page_is_what_the_checks_give() -> None:
    done = subprocess.run(
        [sys.executable, "-c", "import build_validation as b; print(b.page(), end='')"],
        cwd=DOCS,
        capture_output=True,
        text=True,
        check=True,
    )
    page = (DOCS / "validation.md").read_text(encoding="utf-8")
    assert page == done.stdout, "make it anew: python docs/build_validation.py"
    rows = [line for line in page.splitlines() if line.startswith("| ") and ", agrees |" in line]
    assert len(rows) >= 80  # values that are evidence: not formulas entered, nor tables copied
    assert "NOT REFUSED" not in page


@pytest.mark.slow
def test_the_site_builds_offline_and_refers_to_nothing_outside(tmp_path: Path) -> None:
    pytest.importorskip("mkdocs", reason="mkdocs is missing: install the test extra")
    done = subprocess.run(
        [sys.executable, "-m", "mkdocs", "build", "--quiet", "--site-dir", str(tmp_path / "site")],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    for page in (tmp_path / "site").rglob("*.html"):
        text = page.read_text(encoding="utf-8")
        assert not re.search(r'<(?:script|link|img)[^>]+(?:src|href)="https?://', text), page.name
        assert "$$" not in text and r"\frac" not in text, page.name  # equations are drawn, not spelled
    assert "<math" in (tmp_path / "site" / "explanation" / "opening" / "index.html").read_text(encoding="utf-8")
