"""Seams, marks, papers and the number of sheets."""

from __future__ import annotations

from dataclasses import replace

import pytest
from template_jobs import DRAWINGS, ROOT, SAMPLES, all_words, hole, job, paper

from cutplan.drawing.model import Stroke, Text
from cutplan.drawing.recorder import overlaps
from cutplan.errors import JobError
from cutplan.files.drawing_in import read_drawing
from cutplan.files.job.read import read_job
from cutplan.geometry.contour import polyline
from cutplan.geometry.vector import Point
from cutplan.pattern.job import About, Job
from cutplan.pattern.pads import Pad
from cutplan.pattern.plate import Hole, Plate
from cutplan.pattern.shop import Shop
from cutplan.pattern.wishes import PaperWish
from cutplan.templates.plan import plan_templates
from cutplan.templates.printed.figures import map_figure
from cutplan.templates.tiling.registration import RINGS, ring_code


def test_marks_are_on_both_sheets_of_every_seam_and_unlike_each_other() -> None:
    made = plan_templates(job(700, 400), Shop())
    numbers = [m.number for j in made.joined for m in j.registrations]
    assert numbers == list(range(1, len(numbers) + 1)) and len(numbers) > 20
    assert len({ring_code(n) for n in numbers[: len(RINGS)]}) == min(len(numbers), len(RINGS))
    for j in made.joined:
        per_sheet = [0] * len(j.layout.sheets)
        for mark in j.registrations:
            seam = j.layout.seams[mark.seam]
            for k in (seam.under, seam.over):
                assert j.layout.sheets[k].printed.holds(mark.at)
                per_sheet[k] += 1
                page = made.pages[j.first_page - 1 + k]
                drawn = [i for i in page.items if isinstance(i, Stroke) and i.tag == f"registration {mark.number}"]
                assert len(drawn) >= 6, "a mark must be whole on both sheets"
        assert min(per_sheet) >= 2
        for k, seam in enumerate(j.layout.seams):
            along = [m.at.y if seam.upright else m.at.x for m in j.registrations if m.seam == k]
            if seam.high - seam.low > 120.0:
                # shift and turn: the marks of a long seam lie far apart
                assert max(along) - min(along) > 0.4 * (seam.high - seam.low)


def test_every_point_of_the_cut_line_is_printed_on_some_sheet() -> None:
    outline = polyline([(0, 0, 0), (700, 0, 0.3), (700, 400, 0), (300, 420, -0.2), (0, 250, 0.1)])
    made = plan_templates(Job(About("odd"), Plate(outline, (), 3.0)), Shop())
    for j in made.joined:
        for placed in j.layout.placed:
            for s in placed.template.edge.segments:
                for i in range(201):
                    p = s.point_at(i / 200)
                    assert any(sheet.printed.holds(p) for sheet in j.layout.sheets), p


def test_sheets_without_any_line_are_not_printed() -> None:
    made = plan_templates(job(700, 640, ()), Shop())
    plate = made.joined[0].layout
    area = sum(s.cell.width * s.cell.height for s in plate.sheets)
    assert area < 0.95 * 700 * 640  # the middle holds no line


def test_seams_miss_crosses_and_pads_where_they_can() -> None:
    # the plain grid would part this plate through both holes at x = 180
    holes = (hole("H1", 174, 60, 11), hole("H2", 174, 180, 11))
    made = plan_templates(job(330, 230, holes, pads=(Pad("P1", Point(60, 120), 60),)), Shop())
    assert made.seams_through_holes == 0
    for j in made.joined:
        for placed in j.layout.placed:
            for spot in placed.template.spots:
                for seam in j.layout.seams:
                    away = abs((spot.centre.x if seam.upright else spot.centre.y) - seam.at)
                    beside = spot.centre.y if seam.upright else spot.centre.x
                    inside = seam.low - spot.clear_mm < beside < seam.high + spot.clear_mm
                    assert not inside or away >= spot.clear_mm - 1e-6


def test_a_seam_through_a_pad_that_cannot_be_avoided_is_counted() -> None:
    made = plan_templates(job(500, 300, (), pads=(Pad("P1", Point(250, 150), 290),)), Shop())
    assert made.seams_through_holes >= 1


def plates() -> list[Job]:
    found = []
    for path in sorted(DRAWINGS.glob("plate-*.dxf")):
        region = read_drawing(path).parts[0].region
        holes = tuple(Hole(f"H{k + 1}", c) for k, c in enumerate(region.holes))
        found.append(Job(About(path.name), Plate(region.outer, holes, 3.0)))
    return found


@pytest.mark.slow
@pytest.mark.parametrize("name", ["A4", "Letter"])
def test_fewer_sheets_than_the_plain_grid_and_never_more(name: str) -> None:
    jobs = plates()
    if not jobs:
        pytest.skip("the folder of real drawings is not here")
    jobs += [read_job(ROOT / "sample_parts" / s / "job.toml") for s in SAMPLES]
    ours = plain = 0
    for wanted in jobs:
        made = plan_templates(replace(wanted, paper=paper(name)), Shop())
        assert made.sheets <= made.plain_sheets, wanted.about.title
        ours, plain = ours + made.sheets, plain + made.plain_sheets
    assert ours <= 0.9 * plain, f"{ours} sheets, plain grid {plain}"


@pytest.mark.slow
def test_a_long_part_and_two_thousand_holes_stay_quick_and_few() -> None:
    from time import perf_counter

    start = perf_counter()
    made = plan_templates(job(3000, 120), Shop())
    assert made.sheets <= 2 * 13 and perf_counter() - start < 20.0  # about 1.5 s when nothing else runs
    assert any(i.tag == "fold" for p in made.pages for i in p.items)
    many = tuple(hole(f"H{k}", 20 + 12 * (k % 60), 20 + 12 * (k // 60), 5) for k in range(2000))
    start = perf_counter()
    made = plan_templates(job(760, 440, many), Shop())
    assert perf_counter() - start < 20.0 and made.sheets <= made.plain_sheets


@pytest.mark.parametrize(
    "wish", [paper("A3"), paper("Tabloid"), PaperWish("custom", 330.0, 480.0), PaperWish("roll", 610.0, 0.0)]
)
def test_other_papers(wish: PaperWish) -> None:
    made = plan_templates(job(600, 300, paper=wish), Shop())
    for page in made.pages:
        if wish.name == "roll":
            assert page.width_mm == 610.0 and page.height_mm < 1400.0
        else:
            assert {page.width_mm, page.height_mm} == {wish.width_mm, wish.height_mm}
        assert not overlaps(page, margin_mm=10.0)
    if wish.name == "roll":
        assert all(len(j.layout.sheets) == 1 for j in made.joined)


def test_paper_that_cannot_work_is_refused_with_what_to_do() -> None:
    for wish in (PaperWish("custom", 60.0, 90.0), paper("A4", margin_mm=1.0), paper("A4", overlap_mm=5.0)):
        with pytest.raises(JobError) as caught:
            plan_templates(job(paper=wish), Shop())
        assert caught.value.hint
    with pytest.raises(JobError, match="sheets"):
        plan_templates(job(9000, 5000, ()), Shop())


def test_the_map_names_every_sheet_and_its_page() -> None:
    made = plan_templates(job(), Shop())
    words = [i.text for i in map_figure(made).items if isinstance(i, Text)]
    for j in made.joined:
        for k, sheet in enumerate(j.layout.sheets):
            number = str(j.first_page + k)
            assert any(number in w and (len(j.layout.sheets) == 1 or sheet.name in w) for w in words)


def test_distances_printed_on_the_sheets_are_as_long_as_the_map_says() -> None:
    made = plan_templates(job(), Shop())
    assert made.checks
    words = all_words(made).replace("\n", " ")  # the map breaks its lines
    for d in made.checks:
        assert f"{d.start}-{d.end}: {d.length_mm:.1f} mm" in words
        # exact: both targets are drawn on a sheet, a circle of 1.5 mm at each end
        for j in made.joined:
            if d in j.checks:
                assert all(any(s.printed.holds(p) for s in j.layout.sheets) for p in (d.a, d.b))
