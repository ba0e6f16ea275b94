"""The opening's paper in print: every mark whole, every word said, every label told to its place without crossing another."""

from __future__ import annotations

from dataclasses import replace
from math import radians

import pytest
from sheet_results import small

from cutplan.drawing.model import Stroke, Text
from cutplan.drawing.placer.ground import Ground
from cutplan.drawing.recorder import overlaps, text_corners
from cutplan.geometry.contour import rectangle
from cutplan.geometry.vector import Box, Point, box_of
from cutplan.opening.work_marks import work_marks
from cutplan.pattern.job import About, Job, Planned
from cutplan.pattern.plate import Plate
from cutplan.pattern.shop import Shop
from cutplan.pattern.work_marks import WorkHole, WorkMarks
from cutplan.templates.drawn.pens import CUT, LEADER
from cutplan.templates.plan import plan_templates
from cutplan.templates.result import TemplateSet
from cutplan.templates.shapes.build import templates_of


@pytest.fixture(scope="module", params=["en", "de"])
def job(request: pytest.FixtureRequest) -> Job:
    results = small()
    assert results.opening is not None
    return replace(
        results.job,
        shown=replace(results.job.shown, language=request.param),
        planned=replace(results.job.planned, work=work_marks(results.job, results.opening)),
    )


@pytest.fixture(scope="module")
def made(job: Job) -> TemplateSet:
    return plan_templates(job, small().shop)


def inked(made: TemplateSet, page: int, at: Point, arm: Point) -> bool:
    """Whether the page prints a cross's arm at a place of the opening's own coordinates; arms lie along the sheet."""
    tile = next(t for t in made.tiles if t.sheet == page and t.template == "Opening")
    p = at.turned(radians(tile.rotation_deg)).plus(tile.origin).plus(arm)
    found = False
    for i in made.pages[page - 1].items:
        if isinstance(i, Stroke) and i.tag == "cross":
            found = found or any(s.nearest(p)[1] < 0.01 for s in i.segments)
    return found


@pytest.mark.parametrize(("width", "height"), [(330.0, 205.0), (300.0, 160.0), (420.0, 120.0), (150.0, 90.0)])
def test_datum_marks_are_printed_with_all_four_arms(width: float, height: float) -> None:
    corners = [Point(x, y) for x in (-24.0, width + 24.0) for y in (-24.0, height + 24.0)]
    marks = tuple(WorkHole(f"M{k}", at, 0.0) for k, at in enumerate(corners, 1))
    work = WorkMarks(marks, (), (), box_of(corners).grown(6.0))
    job = Job(About("Marks alone"), Plate(rectangle(0, 0, width, height, 20.0), (), 4.0), planned=Planned(work=work))
    made = plan_templates(job, Shop())
    pages = sorted({t.sheet for t in made.tiles if t.template == "Opening"})
    for mark in marks:
        # exact: the arms of a cross reach 4 mm (see CROSS_BEYOND_MM); looked for at 3.5 mm
        arms = (Point(3.5, 0.0), Point(-3.5, 0.0), Point(0.0, 3.5), Point(0.0, -3.5))
        assert any(all(inked(made, page, mark.centre, arm) for arm in arms) for page in pages), mark.name


def test_every_word_and_every_label_is_printed(job: Job, made: TemplateSet) -> None:
    words = [i.text for page in made.pages for i in page.items if isinstance(i, Text) and i.tag == "label"]
    labels = " ".join(i.text for p in made.pages for i in p.items if isinstance(i, Text) and i.tag == "hole label")
    said = " ".join(words).split()
    for template in templates_of(job):
        for line in template.says:
            missing = [w for w in line.split() if w not in said]
            assert missing == [], (template.name, line)
        for spot in template.spots:
            assert spot.name in labels
    assert not [f for f in made.findings if f.code in ("label-no-room", "hole-label-no-room")]


def test_the_outline_of_a_brace_says_what_it_is(job: Job) -> None:
    assert job.planned.work is not None and any(line.kind == "brace" for line in job.planned.work.lines)
    (paper,) = (t for t in templates_of(job) if t.kind == "opening")
    assert {"en": "Brace", "de": "Strebe"}[job.shown.language] in {s.name for s in paper.spots}


def test_nothing_printed_meets_a_text(made: TemplateSet) -> None:
    for page in made.pages[1:]:
        bad = [c for c in overlaps(page, margin_mm=0.0, clear_of=(), smallest_mm=3.0) if "text on text" in c.kind]
        assert bad == []
        texts = [(i, box_of(text_corners(i))) for i in page.items if isinstance(i, Text)]
        leaders = [i for i in page.items if isinstance(i, Stroke) and i.tag == "leader"]
        zones = [box_of([s.start for s in i.segments]) for i in page.items if isinstance(i, Stroke) and i.tag == "tape"]
        for text, box in texts:
            if text.tag == "hole label":
                assert not any(box.meets(z) for z in zones), text.text
                inner = box.grown(-0.6)
                ways = [s.point_at(k / 40) for i in leaders for s in i.segments for k in range(41)]
                assert not any(inner.xmin < p.x < inner.xmax and inner.ymin < p.y < inner.ymax for p in ways), text.text


def test_a_leader_is_thinner_and_paler_than_what_is_cut() -> None:
    assert LEADER.width_mm < 0.4 * CUT.width_mm
    assert int(LEADER.colour[1:3], 16) > 0x40


def test_a_text_lies_on_one_sheet_whole() -> None:
    room = Ground(Box(0, 0, 100, 40), windows=(Box(0, 0, 50, 40), Box(50, 0, 100, 40)))
    assert not room.free(Box(40, 10, 60, 20))
    box = room.nearest(30.0, 8.0, Point(50.0, 20.0))
    assert box is not None and (box.xmax <= 50.0 or box.xmin >= 50.0)


def test_a_depth_beside_a_cut_is_said_to_be_one(job: Job, made: TemplateSet) -> None:
    # "C24 to 4.0 mm" was read as a length; exact: each cut whose depth is set says which way it is measured
    word = {"en": "deep", "de": "tief"}[job.shown.language]
    opening = next(t for t in templates_of(job) if t.kind == "opening")
    assert job.planned.work is not None
    depths = {n.name for n in job.planned.work.notes if n.depth_mm is not None}
    assert len(depths) > 3
    assert all(s.note.endswith(f" mm {word}") for s in opening.spots if s.name in depths)
    printed = [i.text for page in made.pages for i in page.items if isinstance(i, Text) and i.tag == "hole label"]
    assert any(text.endswith(f" mm {word}") for text in printed)
