"""Whole jobs: random valid ones give every document, random damage gives documents or a refusal in words."""

from __future__ import annotations

import random
import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cutplan.errors import CutplanError
from cutplan.files.job.read import read_job
from cutplan.project.folder.manifest import faults
from cutplan.project.make import make
from cutplan.project.planned.plans import plans

ROOT = Path(__file__).parents[2]
SAMPLES = sorted((ROOT / "sample_parts").glob("*/job.toml"))


@st.composite
def jobs(draw: st.DrawFn) -> str:
    """A valid job: a rectangle with rounded corners, holes on a grid, perhaps a pad, a rib and a brace."""
    unit = draw(st.sampled_from(["mm", "in"]))
    k = 1.0 if unit == "mm" else 1 / 25.4
    wide, high = draw(st.integers(110, 420)), draw(st.integers(90, 260))
    radius = draw(st.sampled_from([0, 8, 20, 40]))
    thick = draw(st.sampled_from([2.5, 3, 4, 5, 6]))
    lap = draw(st.booleans())
    lines = [
        f'units = "{unit}"',
        'title = "Random insert"',
        "[plate]",
        'shape = "rectangle"',
        f"width = {wide * k:.6f}",
        f"height = {high * k:.6f}",
        f"corner_radius = {radius * k:.6f}",
        f'thickness = "{thick} mm"',
    ]
    for i in range(draw(st.integers(0, 3))):
        lines += [
            "[[plate.hole]]",
            f"at = [{(35 + 30 * i) * k:.6f}, {high / 2 * k:.6f}]",
            f"diameter = {draw(st.sampled_from([5, 9, 13, 20])) * k:.6f}",
            f'purpose = "{draw(st.sampled_from(["bolt", "sleeve", "plug weld", "access", "locating"]))}"',
        ]
    if lap:
        lines += ["[joint]", 'kind = "lap"', 'overlap = "25 mm"']
    else:
        lines += ["[joint]", f'gap = "{draw(st.sampled_from([0.5, 1, 1.5, 2]))} mm"']
    if draw(st.booleans()):
        lines.append('unwelded = ["' + draw(st.sampled_from(["top", "left", "right", "bottom"])) + '"]')
    lines += ["[skin]", f'thickness = "{draw(st.sampled_from([2, 2.5, 3]))} mm"']
    if draw(st.booleans()):
        x = wide / 2 * k
        lines += [
            "[[skin.rib]]",
            f"path = [[{x:.6f}, {-10 * k:.6f}], [{x:.6f}, {(high + 10) * k:.6f}]]",
            f'knowledge = "{draw(st.sampled_from(["known", "suspected", "unknown"]))}"',
        ]
    if draw(st.booleans()):
        lines += ["[[pad]]", f"at = [{wide / 2 * k:.6f}, {high / 2 * k:.6f}]", 'diameter = "40 mm"']
        lines += [
            "[brace]",
            f"from = [{20 * k:.6f}, {high / 2 * k:.6f}]",
            f"to = [{(wide - 20) * k:.6f}, {high / 2 * k:.6f}]",
        ]
    process = draw(st.sampled_from(["air plasma", "laser", "waterjet", "oxyfuel", "cut-off disc", "jigsaw", "hacksaw"]))
    tool = draw(st.sampled_from(["cut-off disc", "jigsaw", "hacksaw", "hand plasma"]))
    lines += [
        "[cutting]",
        f'process = "{process}"',
        "[opening]",
        f'tool = "{tool}"',
        "[welding]",
        "orders = 50",
        f'process = "{draw(st.sampled_from(["GMAW", "GTAW"]))}"',
        "[paper]",
        f'size = "{draw(st.sampled_from(["A4", "A3", "Letter", "Tabloid"]))}"',
    ]
    return "\n".join(lines) + "\n"


@pytest.mark.slow
@given(text=jobs())
@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_random_valid_jobs_give_every_document(tmp_path: Path, text: str) -> None:
    (tmp_path / "job.toml").write_text(text)
    made = make(tmp_path / "job.toml", tmp_path / "out")
    assert len(made.written) >= 10 and faults(tmp_path / "out") == []
    assert made.results.weld is not None and made.results.weld.length_mm > 0.0


def _damage(text: str, chance: random.Random) -> str:
    """One random damage of a job's text: a number made absurd, a line lost, doubled or moved, a word changed."""
    lines = text.splitlines()
    kind = chance.randrange(6)
    i = chance.randrange(len(lines))
    if kind == 0:
        del lines[i]
    elif kind == 1:
        lines.insert(chance.randrange(len(lines)), lines[i])
    elif kind == 2:
        j = chance.randrange(len(lines))
        lines[i], lines[j] = lines[j], lines[i]
    elif kind == 3:
        absurd = chance.choice(["nan", "inf", "-1", "0", "1e308", '"x"', "true", "[]", "{}", "1e-12", "99999999999"])
        lines[i] = re.sub(r"= .*", f"= {absurd}", lines[i])
    elif kind == 4:
        lines[i] = re.sub(r"\d+", lambda m: str(int(m[0]) * chance.choice([0, 3, 25, 1000]))[:12], lines[i])
    else:
        at = chance.randrange(max(1, len(lines[i])))
        lines[i] = lines[i][:at] + chance.choice("\"'[]{}=,#\\\x00é☃") + lines[i][at:]
    return "\n".join(lines) + "\n"


def test_damaged_jobs_are_read_or_refused_in_words(tmp_path: Path) -> None:
    chance = random.Random(20260325)
    read = refused = 0
    for n in range(240):
        sample = SAMPLES[n % len(SAMPLES)]
        text = sample.read_text(encoding="utf-8")
        for _ in range(chance.randrange(1, 4)):
            text = _damage(text, chance)
        folder = tmp_path / sample.parent.name
        folder.mkdir(exist_ok=True)
        drawing = sample.parent / "plate.dxf"
        if drawing.exists() and not (folder / "plate.dxf").exists():
            (folder / "plate.dxf").write_bytes(drawing.read_bytes())
        (folder / "job.toml").write_bytes(text.encode("utf-8", "surrogateescape"))
        try:
            read_job(folder / "job.toml")
            read += 1
        except CutplanError as error:
            assert error.message and str(error)
            refused += 1
    assert read > 20 and refused > 20  # the damage is neither harmless nor always fatal


@pytest.mark.slow
def test_damaged_jobs_are_planned_or_refused_in_words(tmp_path: Path) -> None:
    chance = random.Random(42)
    planned = 0
    for n in range(30):
        text = SAMPLES[n % len(SAMPLES)].read_text(encoding="utf-8").replace("[welding]", "[welding]\norders = 20")
        text = _damage(text, chance)
        folder = tmp_path / str(n)
        folder.mkdir()
        drawing = SAMPLES[n % len(SAMPLES)].parent / "plate.dxf"
        if drawing.exists():
            (folder / "plate.dxf").write_bytes(drawing.read_bytes())
        (folder / "job.toml").write_bytes(text.encode("utf-8", "surrogateescape"))
        try:
            from cutplan.pattern.shop import Shop

            plans(read_job(folder / "job.toml"), Shop())
            planned += 1
        except CutplanError as error:
            assert error.message
    assert planned > 0
