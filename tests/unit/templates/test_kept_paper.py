"""What must survive on the paper: check crosses, marks on every seam, labels inside the edge; and no sheet in vain."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import reduce
from itertools import pairwise
from math import ceil, hypot

import pytest
from sheet_results import SAMPLES

from cutplan.drawing.model import Stroke, Text
from cutplan.drawing.placer.ground import Ground
from cutplan.drawing.recorder import overlaps, text_corners
from cutplan.files.job.read import read_job
from cutplan.geometry.contour import circle_contour, polygon, rectangle
from cutplan.geometry.vector import Box, Point
from cutplan.pattern.job import About, Job, Shown
from cutplan.pattern.joint import Joint
from cutplan.pattern.plate import Hole, Plate
from cutplan.pattern.shop import Shop
from cutplan.templates.drawn.grounds import at_home, kept_paper, own_room
from cutplan.templates.drawn.hole_labels import hole_labels
from cutplan.templates.plan import plan_templates
from cutplan.templates.result import TemplateSet
from cutplan.templates.shapes.build import templates_of
from cutplan.templates.shapes.template import note_rows
from cutplan.templates.tiling.cells import Cell, Content, without_blank
from cutplan.units import UnitName


def hole(name: str, x: float, y: float, across: float) -> Hole:
    return Hole(name, circle_contour(Point(x, y), across / 2, ccw=False), "access")


def planned(width: float, height: float, holes: tuple[Hole, ...] = (), turn: float = 0.0) -> TemplateSet:
    outline = rectangle(0, 0, width, height, min(25.0, 0.2 * height))
    if turn:
        outline = outline.turned(turn, Point(0.0, 0.0))
    return plan_templates(Job(About("Kept paper"), Plate(outline, holes, 4.0)), Shop())


@pytest.mark.parametrize(("width", "height"), [(380, 240), (600, 50), (150, 100), (700, 500), (90, 60)])
def test_crosses_stand_inside_the_edge_at_round_distances_with_equal_diagonals(width: float, height: float) -> None:
    made = planned(width, height)
    names = [n for j in made.joined for d in j.checks for n in (d.start, d.end)]
    assert {int(n[1:]) for n in names} == set(range(1, len(set(names)) + 1))  # exact: each number once in the set
    for j in made.joined:
        for d in j.checks:
            edges = [p.template.edge for p in j.layout.placed]
            assert any(e.contains(d.a) and e.contains(d.b) for e in edges)
    sides = [d for d in made.checks if d.a.x == d.b.x or d.a.y == d.b.y]
    assert sides and all(
        d.length_mm == pytest.approx(round(d.length_mm, -1), abs=1e-9) for d in sides
    )  # exact: round by rule
    slanted = [d for d in made.checks if d not in sides]
    for one, other in zip(slanted[::2], slanted[1::2], strict=True):
        assert one.length_mm == pytest.approx(other.length_mm, abs=1e-9)  # exact: diagonals of a rectangle


@pytest.mark.parametrize(("units", "step_mm"), [("mm", 10.0), ("in", 12.7)])
def test_crosses_stand_at_lengths_that_the_shop_s_rule_shows(units: UnitName, step_mm: float) -> None:
    job = Job(About("Kept paper"), Plate(rectangle(0, 0, 250, 150, 20.0), (), 4.0), shown=Shown(display=units))
    sides = [d for d in plan_templates(job, Shop()).checks if d.a.x == d.b.x or d.a.y == d.b.y]
    assert sides
    for d in sides:
        # exact: whole centimetres, or whole half inches
        assert d.length_mm / step_mm == pytest.approx(round(d.length_mm / step_mm), abs=1e-9)


@pytest.mark.parametrize("width", [40.0, 50.0, 55.0])
def test_seams_of_a_narrow_strap_carry_marks_and_say_what_to_do(width: float) -> None:
    made = planned(600.0, width)
    for j in made.joined:
        assert len(j.layout.sheets) > 1
        for k in range(len(j.layout.seams)):
            assert sum(m.seam == k for m in j.registrations) >= 2
    for page in made.pages[1:]:
        notes = [i for i in page.items if isinstance(i, Text) and i.tag == "seam note"]
        assert notes and not overlaps(page, margin_mm=10.0)


def test_a_long_seam_carries_a_mark_every_hand_and_a_half() -> None:
    made = planned(1100.0, 900.0)
    for j in made.joined:
        for k, seam in enumerate(j.layout.seams):
            at = sorted(m.at.y if seam.upright else m.at.x for m in j.registrations if m.seam == k)
            assert all(b - a < 260.0 for a, b in pairwise(at))  # 150 mm aimed at, lines moved aside


def test_a_template_lies_askew_only_where_that_saves_a_sheet() -> None:
    holes = tuple(hole(f"H{k}", 90 + 40 * k, 120, 14) for k in range(6))
    made = planned(380.0, 240.0, holes)
    assert all(t.rotation_deg % 90.0 == 0.0 for t in made.tiles)
    # exact: 330 x 30 mm is longer than the room of 254 mm on a lying sheet, and fits the diagonal of an upright one
    strip = planned(300.0, 12.0)
    assert strip.sheets < 2 * strip.joined[0].layout.sheets[0].page and strip.sheets <= strip.plain_sheets


def test_a_hole_that_a_seam_runs_through_is_counted() -> None:
    assert planned(380.0, 240.0, (hole("H1", 190.0, 120.0, 180.0),)).seams_through_holes > 0
    assert planned(380.0, 240.0, (hole("H1", 60.0, 60.0, 12.0),)).seams_through_holes == 0


def test_every_hole_label_tells_its_size_on_the_kept_paper() -> None:
    holes = (hole("H1", 60, 60, 11), hole("H2", 320, 60, 12), hole("H3", 190, 120, 60))
    made = planned(380.0, 240.0, holes)
    words = [i for p in made.pages for i in p.items if isinstance(i, Text) and i.tag == "hole label"]
    for h, across in (("H1", "11.0"), ("H2", "12.0"), ("H3", "60.0")):
        assert any(w.text.startswith(h) and across in w.text for w in words)
    for tile in (t for t in made.tiles if t.template == "Plate"):
        box = Box(tile.origin.x, tile.origin.y, tile.origin.x + 380.0, tile.origin.y + 240.0)
        page = made.pages[tile.sheet - 1]
        for w in (i for i in page.items if isinstance(i, Text) and i.tag in ("hole label", "label")):
            assert all(box.holds(c) for c in text_corners(w)), w.text


def test_a_long_label_is_clearly_nearer_to_its_own_hole() -> None:
    """Labels in inches are as long as the way from one hole to the next: one stood between two, as near to either."""
    rows = (("H1", 15, 11), ("H2", 85, 20), ("H3", 155, 20), ("H4", 225, 11))
    plate = Plate(rectangle(0, 0, 240, 110, 20.0), tuple(hole(n, x, 55, d) for n, x, d in rows), 5.0)
    job = Job(About("Labels"), plate, joint=Joint("lap", 0.0, 30.0), shown=Shown(display="in"))
    (template,) = (t for t in templates_of(job) if t.name == "Plate")
    kept = Ground(template.edge.box)
    texts = [i for i in hole_labels(template, kept, kept, (4.0,), listed=False).items if isinstance(i, Text)]
    starts = [k for k, t in enumerate(texts) if t.text.startswith("H")]
    assert len(starts) == 4
    for a, b in pairwise([*starts, len(texts)]):
        corners = [c for t in texts[a:b] for c in text_corners(t)]
        x, y = ((min(v) + max(v)) / 2 for v in zip(*((c.x, c.y) for c in corners), strict=True))
        away = {s.name: hypot(s.centre.x - x, s.centre.y - y) - s.radius_mm for s in template.spots}
        own = away.pop(texts[a].text.split()[0])
        assert all(own + 10.0 < other for other in away.values()), texts[a].text  # 10 mm: our judgement, 3 letters


def test_a_template_owns_no_paper_of_its_neighbours_on_the_sheet() -> None:
    notched = polygon([(0, 0), (130, 0), (130, 107), (40, 107), (40, 60), (0, 60)])
    plate = Plate(notched, (hole("H1", 20, 20, 11),), 4.0)
    (joined,) = plan_templates(Job(About("Kept paper"), plate, joint=Joint("lap", 0.0, 18.0)), Shop()).joined
    assert [p.template.name for p in joined.layout.placed] == ["Plate", "Opening"]
    everything = Ground(joined.layout.sheets[0].printed)
    for own, other in (joined.layout.placed, joined.layout.placed[::-1]):
        room = own_room(own.template, joined.layout, everything)
        box = other.template.edge.box
        corners = (Point(x, y) for x in (box.xmin + 8, box.xmax - 8) for y in (box.ymin + 8, box.ymax - 8))
        # its notch, too: words there stand beside it, and would be taken for its
        assert not any(room.free(Box(p.x - 2, p.y - 2, p.x + 2, p.y + 2)) for p in corners)
        middle = own.template.edge.centroid
        assert room.free(Box(middle.x - 5, middle.y - 5, middle.x + 5, middle.y + 5))


def test_arrows_go_before_words_where_the_kept_paper_is_too_small_for_both() -> None:
    made = plan_templates(read_job(SAMPLES / "buggy-doubler" / "job.toml"), Shop())
    looked = 0
    for j in made.joined:
        page = made.pages[j.first_page - 1]
        words = [i for i in page.items if isinstance(i, Text) and i.tag == "label"]
        for edge in (_box(i) for i in page.items if isinstance(i, Stroke) and i.tag in ("cut", "trace")):
            if min(edge.width, edge.height) > 100.0:  # of the plate, not of the opening in it
                said = [w.text for w in words if all(edge.holds(c) for c in text_corners(w))]
                assert said.count("FORWARD") == said.count("UP") == 1
                looked += 1
    assert looked == 4  # plate and opening of either hand


def test_a_line_that_finds_no_room_in_the_block_finds_it_alone_on_the_kept_paper() -> None:
    made = plan_templates(read_job(SAMPLES / "camper-damper-insert" / "job.toml"), Shop())
    (joined,) = (j for j in made.joined if [p.template.kind for p in j.layout.placed] == ["plate"])
    page = made.pages[joined.first_page - 1]
    edge = max((_box(i) for i in page.items if isinstance(i, Stroke) and i.tag == "cut"), key=lambda b: b.width)
    inside = " ".join(
        i.text
        for i in page.items
        if isinstance(i, Text) and i.tag == "label" and all(edge.holds(c) for c in text_corners(i))
    )
    # exact: the title of the sheet is trimmed off, so that only these words tell which face and which sheet metal it is
    assert "top face" in inside and "S355MC" in inside


def test_a_bolt_stands_in_no_line_alone() -> None:
    # exact: an M8 by itself would read as the label of a datum mark
    assert note_rows("Ø 21/64 in (8.4 mm)", "M8") == ("Ø 21/64 in", "(8.4 mm) M8")
    assert note_rows("Ø 8.4 mm", "M8") == ("Ø 8.4 mm M8",)
    assert note_rows("Ø 1 13/16 in (46.0 mm)", "") == ("Ø 1 13/16 in", "(46.0 mm)")


def test_words_of_paper_that_is_kept_whole_stay_at_its_lines() -> None:
    template = replace(templates_of(Job(About("Kept paper"), Plate(rectangle(0, 0, 100, 60), (), 4.0)))[0], whole=True)
    everything = Ground(Box(-100.0, -100.0, 400.0, 300.0))
    home = at_home(template, kept_paper(template, everything))
    far, near = Box(200.0, 200.0, 210.0, 210.0), Box(102.0, 20.0, 106.0, 30.0)
    # exact: up to 8 mm off the lines, whose box ends at x = 100
    assert everything.free(far) and not home.free(far) and home.free(near)


@pytest.mark.parametrize("display", ["mm", "in"])
def test_no_word_stands_on_an_arrow_where_both_hardly_find_room(display: UnitName) -> None:
    job = read_job(SAMPLES / "buggy-doubler" / "job.toml")  # small, mirrored, two templates on each sheet of Letter
    made = plan_templates(replace(job, shown=replace(job.shown, display=display)), Shop())
    for page in made.pages[1:]:
        assert overlaps(page, margin_mm=10.0, gap_mm=0.3, clear_of=("arrow", "cut", "hole"), smallest_mm=3.0) == ()


def test_joining_begins_with_a_sheet_that_lies_on_no_other() -> None:
    made = plan_templates(read_job(SAMPLES / "truck-winch-cradle" / "job.toml"), Shop())
    said = " ".join(i.text for i in made.pages[0].items if isinstance(i, Text))
    begun = [int(n) for n in re.findall(r"sheet (\d+) \(lower left of", said)]
    several = [j for j in made.joined if len(j.layout.sheets) > 1]
    assert len(begun) == len(several) == 2
    for j, page in zip(several, begun, strict=True):
        pages = [s.page for s in j.layout.sheets]
        assert pages.index(page) not in {seam.over for seam in j.layout.seams}


def _box(stroke: Stroke) -> Box:
    return reduce(lambda a, b: a.joined(b), (s.box for s in stroke.segments))


def _ring_of_cells() -> tuple[list[Cell], Content]:
    """Sheets over a ring with one island in its middle, nine by nine."""
    import numpy as np

    cells = [
        Cell(r, c, Box(100.0 * c, 100.0 * r, 100.0 * (c + 1), 100.0 * (r + 1)), 0) for r in range(9) for c in range(9)
    ]
    t = np.linspace(0.0, 2.0 * np.pi, 4000)
    ring = np.column_stack((450.0 + 440.0 * np.cos(t), 450.0 + 440.0 * np.sin(t)))
    island = np.column_stack((450.0 + 10.0 * np.cos(t), 450.0 + 10.0 * np.sin(t)))
    return cells, Content(np.concatenate((ring, island)), np.zeros((0, 3)), np.zeros((0, 4)), 1.0)


def test_an_island_is_joined_by_a_bridge_of_blank_sheets_not_by_all_of_them() -> None:
    cells, content = _ring_of_cells()
    kept = without_blank(cells, content)
    lined = [c for c in cells if any(c.box.grown(1.0).holds(Point(float(x), float(y))) for x, y in content.points[::7])]
    centre = Point(450.0, 450.0)
    island = next(c for c in lined if c.box.holds(centre))
    # exact: from the middle cell the ring is three cells away along a row or a column
    ways = [hypot(c.row - island.row, c.column - island.column) for c in lined if c is not island]
    bridge = round(min(w for w in ways if w == round(w))) - 1
    assert len(kept) == len(lined) + bridge < len(cells)
    assert without_blank([replace(c) for c in cells], content) == kept


@pytest.mark.parametrize(("width", "height"), [(1500.0, 60.0), (600.0, 50.0)])
def test_long_narrow_figures_share_their_sheets(width: float, height: float) -> None:
    made = planned(width, height)
    (joined,) = made.joined
    # exact: a lying sheet of A4 has room for 277 mm less what overlaps; each figure alone would take as many
    assert len(joined.layout.sheets) == ceil(width / (277.0 - made.overlap_mm)) and made.sheets < made.plain_sheets
    plate, opening = (p.template for p in joined.layout.placed)
    assert plate.edge.box.ymin - opening.edge.box.ymax > 5.0
    # each figure keeps its own crosses, and every seam its marks
    for template in (plate, opening):
        assert sum(template.edge.contains(d.a) and template.edge.contains(d.b) for d in joined.checks) >= 1
    assert all(sum(m.seam == k for m in joined.registrations) >= 2 for k in range(len(joined.layout.seams)))


def test_figures_share_no_sheets_where_that_saves_none() -> None:
    assert [len(j.layout.placed) for j in planned(600.0, 200.0).joined] == [1, 1]
