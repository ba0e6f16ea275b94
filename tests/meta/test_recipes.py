"""The recipes of DEVELOPERS.md: each is followed on a copy of the package, and the documents change, German ones too."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest
from pypdf import PdfReader

ROOT = Path(__file__).parents[2]
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


@dataclass(frozen=True)
class Copy:
    """A copy of the package in a folder of its own, changed as a recipe says and run from there."""

    folder: Path

    def change(self, path: str, old: str, new: str, file: str = "") -> None:
        """Put ``new`` where ``old`` stands, once, in a file of the package, or of a folder, that the recipe names."""
        assert path in GUIDE, f"the guide does not name {path}"
        path = file or path
        self._replace(path, old, new)

    def _replace(self, path: str, old: str, new: str) -> None:
        file = self.folder / "cutplan" / path
        text = file.read_text(encoding="utf-8")
        assert text.count(old) == 1, f"{path}: {old!r} stands {text.count(old)} times"
        file.write_text(text.replace(old, new), encoding="utf-8")

    def add_text(self, path: str, entries: str) -> None:
        """Add entries to a catalogue."""
        file = self.folder / "cutplan" / "texts" / path
        assert file.exists()
        file.write_text(file.read_text(encoding="utf-8") + "\n" + entries, encoding="utf-8")

    def new_file(self, *args: str) -> str:
        """Return the text of a new job file."""
        file = self.folder / "another.toml"
        file.unlink(missing_ok=True)
        self.run("new", file.name, *args)
        return file.read_text(encoding="utf-8")

    def python(self, program: str, *args: str) -> str:
        """Return what a program prints that imports the copy."""
        env = {**os.environ, "PYTHONPATH": str(self.folder)}
        call = [sys.executable, "-c", program, *args]
        return subprocess.run(call, cwd=self.folder, env=env, capture_output=True, text=True, check=True).stdout

    def run(self, *args: str, code: int = 0) -> str:
        env = {**os.environ, "PYTHONPATH": str(self.folder), "CUTPLAN_CONFIG": str(self.folder / "config")}
        call = [sys.executable, "-m", "cutplan", *args]
        done = subprocess.run(call, cwd=self.folder, env=env, capture_output=True, text=True, check=False)
        assert done.returncode == code, f"{args}\n{done.stdout}\n{done.stderr}"
        return done.stdout + (done.stderr if code else "")

    def job(self, language: str = "en", *, old: str = "", new: str = "", args: tuple[str, ...] = ()) -> None:
        """Write ``job.toml`` in a language, with one key changed."""
        file = self.folder / "job.toml"
        file.unlink(missing_ok=True)
        self.run("new", "job.toml", "--thickness", "4", "--skin", "2", *args)
        text = f'language = "{language}"\n' + file.read_text(encoding="utf-8")
        assert old in text
        file.write_text(text.replace(old, new, 1) if old else text, encoding="utf-8")

    def make(self, only: str) -> Path:
        shutil.rmtree(self.folder / "out", ignore_errors=True)
        self.run("make", "job.toml", "-o", "out", "--only", only)
        return self.folder / "out"

    def sheet_text(self) -> list[str]:
        """The words of each page of the job sheet, in one line."""
        reader = PdfReader(self.make("job-sheet") / "job-sheet.pdf")
        return [" ".join(p.extract_text().split()) for p in reader.pages]


@pytest.fixture
def copy(tmp_path: Path) -> Copy:
    shutil.copytree(ROOT / "cutplan", tmp_path / "cutplan", ignore=shutil.ignore_patterns("__pycache__"))
    return Copy(tmp_path)


@pytest.mark.slow
def test_a_new_paper(copy: Copy) -> None:
    copy.change(
        "tables/paper.py",
        'Sheet("Letter",',
        'Sheet("B4", 250.0, 353.0, "ISO 216:2007, B series (from memory)"),\n        Sheet("Letter",',
    )
    assert "B4" in " ".join(copy.run("new", "--help").split())
    copy.job("de", args=("--paper", "B4"))
    assert "B4" in (copy.folder / "job.toml").read_text(encoding="utf-8").split("[paper]")[1]
    copy.run("check", "job.toml")
    out = copy.make("templates,summary")
    pages = PdfReader(out / "templates.pdf").pages
    for page in pages:  # exact: 250 x 353 mm in points of 1/72 inch, either way round
        sides = sorted((float(page.mediabox.width), float(page.mediabox.height)))
        assert sides == pytest.approx([250.0 / 25.4 * 72.0, 353.0 / 25.4 * 72.0], abs=0.01)
    assert json.loads((out / "summary.json").read_text(encoding="utf-8"))["templates"]["paper"] == "B4"
    # pinned: the rulers that fit this sheet, in the German of the template
    assert "Lineale messen 225 x 320 mm" in " ".join(" ".join(p.extract_text().split()) for p in pages)
    copy.run("marks", "--paper", "B4", "-o", "marks.pdf")
    copy.run("coupon", "paper", "--paper", "B4", "-o", "trial")


@pytest.mark.slow
def test_a_new_cutting_process(copy: Copy) -> None:
    record = """ProcessFacts(
        "fine plasma",
        say("fine plasma"),
        by_hand=False,
        kerf_mm=(1.2, 1.53, 1.9),
        speeds=((2.0, 4000.0), (6.0, 2000.0), (12.0, 1100.0)),
        pierce_s=(0.5, 1.0, 2.0),
        lead=LeadRule(1.0, 4.0, 4.0, 1.0, 2.0, 2.0, 1.5, 3.0, 4.0, 3.0, 32.0, 0.6, 2.0, 3.0),
        iso9013=Iso9013((0.5, 40.0), 3, 3, 1),
        hardens=True,
        wide_start=True,
    ),
    ProcessFacts(
        "laser",
"""
    copy.change("tables/cutting/cut_process.py", 'ProcessFacts(\n        "laser",\n', record)
    copy.add_text("de/cutting.po", 'msgid "fine plasma"\nmsgstr "Feinplasma"\n')
    old, new = 'process = "air plasma"', 'process = "fine plasma"'
    copy.job("en", old=old, new=new)
    assert "fine plasma" in (copy.folder / "job.toml").read_text(encoding="utf-8")
    copy.run("check", "job.toml")
    assert "fine plasma" in " ".join(copy.sheet_text())
    copy.job("de", old=old, new=new)
    words = " ".join(copy.sheet_text())
    told = words.replace('--process "fine plasma"', "")  # a command keeps the key of the job file
    assert "Feinplasma" in told and "fine plasma" not in told
    cut = json.loads((copy.make("summary,plate-path") / "summary.json").read_text(encoding="utf-8"))["cut"]
    assert cut["process"] == "fine plasma"
    assert cut["kerf_mm"] == pytest.approx(1.53)  # exact: the record's


@pytest.mark.slow
def test_a_new_key(copy: Copy) -> None:
    copy.change(
        "files/job/declared/",
        '    flag("mirrored_copy", say("templates of the other hand too")),\n',
        '    flag("mirrored_copy", say("templates of the other hand too")),\n'
        '    length("paint", say("thickness of the paint"), 0.1, 0.0, 2.0, offer=Offer(0.1, 0.127)),\n',
        file="files/job/declared/paper.py",
    )
    copy.change(
        "pattern/wishes.py",
        "    mirrored_copy: bool = False\n",
        "    mirrored_copy: bool = False\n    paint_mm: float = 0.1\n",
    )
    copy.add_text("de/keys.po", 'msgid "thickness of the paint"\nmsgstr "Dicke der Farbe"\n')
    assert "Dicke der Farbe" in copy.new_file("--language", "de")  # offered, in the language that was asked for
    copy.job(old='paint = "0.1 mm"', new='paint = "0.7 mm"')
    read = "from cutplan.files.job.read import read_job; print(read_job('job.toml').marks.paint_mm)"
    assert copy.python(read) == "0.7\n"
    copy.job(old='paint = "0.1 mm"', new='paint = "7 mm"')
    assert "7 mm is outside 0 to 2 mm" in copy.run("check", "job.toml", code=1)
    copy.job(old='paint = "0.1 mm"', new='piant = "0.1 mm"')
    assert 'did you mean "paint"?' in copy.run("check", "job.toml", code=1)
    page = (
        "import sys; sys.path.insert(0, sys.argv[1]); import build_keys as b; print(b.page(b.PAGE.read_text('utf-8')))"
    )
    assert "| `paint` | thickness of the paint | length from 0 to 2 mm | 0.1 mm |" in copy.python(
        page, str(ROOT / "docs")
    )


@pytest.mark.slow
def test_a_new_page(copy: Copy) -> None:
    copy.job()
    first = copy.sheet_text()
    before = len(first)
    assert not any("Handing over" in page for page in first)
    page = copy.folder / "cutplan" / "sheets" / "handing_over_page.py"
    page.write_text(
        '"""Handing over."""\n\nfrom cutplan.sheets.page import Builder\nfrom cutplan.sheets.results import Results\n\n\n'
        'def handing_over_page(b: Builder, results: Results) -> None:\n    """Write the page."""\n'
        '    b.page("handing.title")\n    b.para(b.say("handing.lead", plate=results.job.about.title))\n',
        encoding="utf-8",
    )
    copy.change(
        "sheets/job_sheet.py",
        "    traced_page(b, results)\n",
        "    traced_page(b, results)\n    from cutplan.sheets.handing_over_page import handing_over_page\n\n    handing_over_page(b, results)\n",
    )
    for lang, title, lead in (("en", "Handing over", "Goes with"), ("de", "Übergabe", "Gehört zu")):
        entries = f'msgid "handing.title"\nmsgstr "{title}"\n\nmsgid "handing.lead"\nmsgstr "{lead} {{plate}}."\n'
        copy.add_text(f"{lang}/sheets-by-id.po", entries)
        copy.job(lang)
        pages = copy.sheet_text()
        # below the last chapter where there is room, else on a page of its own; German words may need more pages
        assert lang != "en" or len(pages) in (before, before + 1)
        assert any(title in page and lead in page for page in pages)


@pytest.mark.slow
def test_a_new_language(copy: Copy) -> None:
    copy.change("texts/catalogue.py", '"de": "Deutsch"', '"de": "Deutsch", "nl": "Nederlands"')
    texts = copy.folder / "cutplan" / "texts"
    shutil.copytree(texts / "de", texts / "nl")
    sheets, cutting = texts / "nl" / "sheets-by-id.po", texts / "nl" / "cutting.po"
    for file, old, new in (
        (sheets, "Schweißen: Heften", "Lassen: hechten"),
        (cutting, "Luftplasma", "Plasma met lucht"),
    ):
        text = file.read_text(encoding="utf-8")
        assert text.count(f'"{old}"') >= 1
        file.write_text(text.replace(f'"{old}"', f'"{new}"'), encoding="utf-8")
    copy.job("nl")
    copy.run("check", "job.toml")
    words = " ".join(copy.sheet_text())
    assert "Lassen: hechten" in words and "Plasma met lucht" in words
    assert "Schweißen: Heften" not in words
    offered = "from cutplan.project.desk.choices import choices; print(choices()['language'])"
    done = subprocess.run([sys.executable, "-c", offered], cwd=copy.folder, capture_output=True, text=True, check=True)
    assert "nl" in done.stdout


@pytest.mark.slow
def test_a_new_tack_rule(copy: Copy) -> None:
    lead = "Heftstellen von etwa"  # the German of the tacks' page
    copy.job("de")
    assert f"{lead} 16.0 mm" in " ".join(copy.sheet_text())  # exact: four times 4 mm
    copy.change(
        "tables/welding/tack_rules.py",
        "    return max(LENGTH_PER_THICKNESS * thicker_mm, SHORTEST_MM)\n",
        "    return 12.5 if thicker_mm <= 5.0 else max(LENGTH_PER_THICKNESS * thicker_mm, SHORTEST_MM)\n",
    )
    assert f"{lead} 12.5 mm" in " ".join(copy.sheet_text())
