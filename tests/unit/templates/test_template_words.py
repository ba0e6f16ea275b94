"""What is written on the sheets of the templates."""

from __future__ import annotations

import random
import re
from collections import Counter
from dataclasses import replace
from math import pi

import pytest
from template_jobs import ROOT, SAMPLES, all_words, hole, job, paper, texts

from cutplan.drawing.model import Page, Text
from cutplan.drawing.recorder import overlaps
from cutplan.files.job.read import read_job
from cutplan.geometry.contour import polygon, polyline
from cutplan.pattern.job import About, Beside, Job, Shown
from cutplan.pattern.joint import Joint
from cutplan.pattern.plate import Plate
from cutplan.pattern.shop import Shop
from cutplan.pattern.wishes import Flange, Marks, TubeWrap
from cutplan.templates.plan import plan_templates


def test_every_sheet_says_what_it_is_where_it_goes_and_that_the_part_is_structural() -> None:
    made = plan_templates(job(), Shop())
    assert len(made.pages) == made.sheets + 1 > 2
    assert "Map of the templates" in texts(made.pages[0])[0] or any("Map" in t for t in texts(made.pages[0]))
    for tile in made.tiles:
        words = "\n".join(texts(made.pages[tile.sheet - 1]))
        assert tile.template in words and f"sheet {tile.sheet} of {len(made.pages)}" in words
        assert "Left tow-eye insert, rev. A, 2026-04-01" in words.replace("\u00a0", " ")
        assert "This side out: outside" in words
        assert "Structural part: see job sheet" in words
        assert "Print at 100 %" in words and "rulers must measure" in words


def test_the_rulers_of_an_inch_job_are_checked_at_inches_that_they_name() -> None:
    made = plan_templates(job(shown=Shown(display="in")), Shop())
    for page in made.pages:
        (said,) = (t for t in texts(page) if t.startswith("Print at 100 %"))
        ends = re.findall(r"(\d+)(?= x | in)", said)
        assert len(ends) == 2 and " mm" not in said
        figures = [i.text for i in page.items if isinstance(i, Text) and i.tag == "ruler figure"]
        assert all(end in figures and str(int(end) + 1) not in _inches(page) for end in ends[:1])


def _inches(page: Page) -> list[str]:
    """Figures of the inch scale along the lower edge: below its middle line."""
    low = [i for i in page.items if isinstance(i, Text) and i.tag == "ruler figure" and i.angle_deg == 0.0]
    base = next(i.at.y for i in low if i.text == "0 in")
    return [i.text for i in low if i.at.y == base]


def test_templates_say_hand_direction_and_line_to_cut() -> None:
    made = plan_templates(job(marks=Marks(hand="left", up_deg=0.0, side_out="rear face", mirrored_copy=True)), Shop())
    words = all_words(made)
    for phrase in (
        "PLATE: left hand",
        "PLATE: right hand",
        "OPENING in the skin: left hand",
        "FORWARD",
        "UP",
        "This side out: rear face",
        "Cut paper and plate on the thick line",
    ):
        assert phrase in words, phrase
    assert {t.template for t in made.tiles} == {"Plate left", "Opening left", "Plate right", "Opening right"}


def test_left_on_the_copy_for_the_other_hand_is_right() -> None:
    marks = Marks(hand="left", forward_deg=None, up_deg=90.0, left_deg=180.0, mirrored_copy=True)
    made = plan_templates(job(marks=marks), Shop())
    arrows = {p.template.name: p.template.arrows for j in made.joined for p in j.layout.placed}
    assert [w for w, _ in arrows["Plate left"]] == ["UP", "LEFT"]
    # exact: mirrored across the upright, up stays and what pointed to 180 degrees points to 0
    mirrored = dict(arrows["Plate right"])
    assert set(mirrored) == {"UP", "RIGHT"}
    turned = (mirrored["RIGHT"] - mirrored["UP"]) % (2.0 * pi)
    assert turned == pytest.approx(1.5 * pi)
    assert "FORWARD" not in all_words(made)


def test_the_mirrored_copy_is_the_mirror_image() -> None:
    notched = polyline([(0, 0, 0), (120, 0, 0), (120, 60, 0.2), (40, 60, 0), (0, 30, 0)])
    plan = plan_templates(
        Job(About("n"), Plate(notched, (hole("H1", 90, 30, 10),), 3.0), marks=Marks(hand="right", mirrored_copy=True)),
        Shop(),
    )
    placed = {p.template.name: p for j in plan.joined for p in j.layout.placed}
    left, right = placed["Plate left"], placed["Plate right"]
    # exact: undo turn and shift, then x changes its sign and y stays
    a = left.template.moved(-left.shift.x, -left.shift.y).turned(-left.angle_rad).spots[0].centre
    b = right.template.moved(-right.shift.x, -right.shift.y).turned(-right.angle_rad).spots[0].centre
    assert a.x == pytest.approx(-b.x) and a.y == pytest.approx(b.y)


@pytest.mark.parametrize("seed", [4, 7])
def test_the_mirrored_copy_takes_as_many_sheets_as_its_original(seed: int) -> None:
    r = random.Random(seed)
    w, h = r.uniform(180.0, 330.0), r.uniform(150.0, 260.0)
    corners = ((0.0, 0.0), (w, 0.0), (w, h * r.uniform(0.5, 1.0)), (w * r.uniform(0.3, 0.7), h))
    outline = polygon((*corners, (0.0, h * r.uniform(0.5, 1.0))))
    both = Marks(forward_deg=0.0, up_deg=90.0, hand="left", mirrored_copy=True)
    made = plan_templates(Job(About("Both hands"), Plate(outline, (), 4.0), marks=both), Shop())
    sheets = Counter(t.template for t in made.tiles)
    assert sheets["Opening left"] == sheets["Opening right"] == 1
    assert sheets["Plate left"] == sheets["Plate right"]


def test_lap_joint_shows_where_the_plate_reaches_and_drills_holes_outside_the_opening() -> None:
    lapped = job(160, 120, (hole("H1", 8, 8, 5, in_skin=True),), joint=Joint("lap", 0.0, 20.0))
    made = plan_templates(lapped, Shop())
    opening = next(p.template for j in made.joined for p in j.layout.placed if p.template.name == "Opening")
    cut = next(s for s in opening.lines if s.tag == "cut")
    trace = next(s for s in opening.lines if s.tag == "trace")
    assert sum(s.length for s in cut.segments) < sum(s.length for s in trace.segments)
    assert [s.name for s in opening.spots] == ["H1"]


def test_holes_in_the_skin_of_a_butt_joint_get_a_template_of_their_own() -> None:
    made = plan_templates(job(160, 120, (hole("H1", 80, 60, 12, in_skin=True),)), Shop())
    assert {t.template for t in made.tiles} == {"Plate", "Opening", "Skin holes"}


def test_wraps_and_flat_patterns_share_sheets_with_the_rest() -> None:
    made = plan_templates(
        job(
            90,
            60,
            (),
            beside=Beside((TubeWrap("brace", 40, 60, 2.5, 60, 5),), (Flange("lip", (50, 40), (90,), 60, 3, 3),)),
        ),
        Shop(),
    )
    assert len(made.tiles) == 4 and made.sheets == 1 and len(made.pages) == 1


@pytest.mark.parametrize("sample", SAMPLES)
@pytest.mark.parametrize("name", ["A4", *(pytest.param(n, marks=pytest.mark.slow) for n in ("Letter", "A3"))])
def test_no_words_meet_each_other_or_a_line_that_is_cut(sample: str, name: str) -> None:
    made = plan_templates(replace(read_job(ROOT / "sample_parts" / sample / "job.toml"), paper=paper(name)), Shop())
    for number, page in enumerate(made.pages, start=1):
        bad = overlaps(
            page,
            margin_mm=10.0,
            gap_mm=0.3,
            clear_of=("cut", "hole", "trace", "bend", "datum", "pad", "slit", "fold", "cross", "registration"),
            # capitals are 0.73 of the size: 4.2 mm gives 3 mm, and 3.5 mm where room is short gives 2.5 mm; figures along
            # a ruler only count its ticks
            smallest_mm=3.49,
            small_allowed=("ruler figure", "title", "map", "sheet name"),
        )
        assert not bad, (number, bad)
        assert not overlaps(page, margin_mm=10.0, clear_of=(), smallest_mm=3.0), number
