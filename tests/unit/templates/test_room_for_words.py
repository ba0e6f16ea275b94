"""Words where room is short: small letters, a list of sizes, two crosses, upright lines, a sheet of its own; nothing is lost."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from sheet_results import SAMPLES, sample_names

from cutplan.drawing.model import Stroke, Text
from cutplan.drawing.recorder import text_corners
from cutplan.files.job.read import read_job
from cutplan.geometry.contour import circle_contour, rectangle
from cutplan.geometry.region import Region
from cutplan.geometry.vector import Point, box_of
from cutplan.opening.plan import plan_opening
from cutplan.opening.work_marks import work_marks
from cutplan.pattern.job import About, Job
from cutplan.pattern.plate import Hole, Plate
from cutplan.pattern.shop import Shop
from cutplan.pattern.wishes import Flange
from cutplan.templates.drawn.hole_labels import in_runs
from cutplan.templates.drawn.labels import READ_MM, SMALL_MM
from cutplan.templates.plan import plan_templates
from cutplan.templates.result import TemplateSet
from cutplan.templates.shapes.flange import flange_template
from cutplan.units import UnitName

#: What tells that a word or a label stands nowhere, or on paper that is cut off.
WANTING = ("label-no-room", "hole-label-no-room", "label-on-waste")
#: What is written on a template.
WORDS = ("label", "hole label", "hole list")
#: Capitals are 0.73 of a size: at least 2.5 mm high.
LEAST_MM = 2.5 / 0.73


@cache
def marked_out(sample: str) -> Job:
    """A sample with all that its opening's plan marks out on paper."""
    job = read_job(SAMPLES / sample / "job.toml")
    return replace(job, planned=replace(job.planned, work=work_marks(job, plan_opening(job, Shop()))))


def printed(sample: str, language: str, display: UnitName, paper: str) -> TemplateSet:
    job = marked_out(sample)
    shown = replace(job.shown, language=language, display=display)
    return plan_templates(replace(job, shown=shown, paper=replace(job.paper, name=paper)), Shop())


#: Where words had found no room before.
SHORT = (("camper-damper-insert", "de", "mm", "A4"), ("van-nose-mount", "en", "in", "A4"))
REST = [
    (s, language, display, paper)
    for s in sample_names()
    for language in ("en", "de")
    for display, paper in (("mm", "A4"), ("in", "Letter"))
    if (s, language, display, paper) not in SHORT
]


@pytest.mark.parametrize(
    ("sample", "language", "display", "paper"), [*SHORT, *(pytest.param(*r, marks=pytest.mark.slow) for r in REST)]
)
def test_every_word_and_every_size_stands_on_paper_that_is_kept(
    sample: str, language: str, display: UnitName, paper: str
) -> None:
    made = printed(sample, language, display, paper)
    assert [f for f in made.findings if f.code in WANTING] == []
    for page in made.pages[1:]:
        for word in page.items:
            if isinstance(word, Text) and word.tag in WORDS:
                assert word.height_mm > LEAST_MM, word.text
    for joined in made.joined:
        for placed in joined.layout.placed:
            inside = []
            for sheet in joined.layout.sheets:
                for word in made.pages[sheet.page - 1].items:
                    if not isinstance(word, Text) or word.tag not in WORDS:
                        continue
                    corners = [c.minus(sheet.origin) for c in text_corners(word)]
                    edge = Region(placed.template.edge)
                    if placed.template.whole or all(edge.contains(c) for c in corners):
                        inside.append(word.text)
            said = " ".join(inside)
            for spot in placed.template.spots:
                # the size stands beside the name or in the list, and both are kept; three marks are M1-M3 there
                assert spot.name in said and all(w in said for w in spot.note.split()), (spot, said)


def test_holes_of_one_size_share_an_entry_where_their_labels_find_no_room() -> None:
    holes = tuple(
        Hole(f"H{k}", circle_contour(Point(16.0 + 20.0 * (k % 6), 16.0 + 44.0 * (k // 6)), 4.5, ccw=False), "access")
        for k in range(12)
    )
    made = plan_templates(Job(About("Many holes"), Plate(rectangle(0, 0, 130, 80), holes, 4.0)), Shop())
    words = [i.text for page in made.pages for i in page.items if isinstance(i, Text)]
    assert not [f for f in made.findings if f.code == "hole-label-no-room"]
    # exact: all twelve are of one size, told once; each has its name beside it
    assert words.count("H0-H11: Ø 9.0 mm") == 1 and " ".join(words).count("Ø") == 1
    assert all(words.count(f"H{k}") == 1 for k in range(12))


def test_names_that_count_on_are_told_as_a_run() -> None:
    assert in_runs(["H1", "H2", "H3", "H5", "P1", "P2", "rod"]) == ["H1-H3", "H5", "P1", "P2", "rod"]
    assert in_runs(["H9", "H10", "H11"]) == ["H9-H11"]


def test_a_right_angle_is_told_once() -> None:
    strip = flange_template(Flange("s", (30.0, 60.0, 30.0), (90.0, 120.0), 70.0, 2.0, 2.0))
    assert [s.name for s in strip.spots] == ["bend 90° up", "bend 60° up, legs end 120° apart"]  # exact: 180 - opening


@pytest.mark.slow
def test_a_label_is_small_only_where_it_finds_no_other_room() -> None:
    # narrow notes stand beside some cuts only; the words have the whole sheet
    made = printed("truck-winch-cradle", "de", "mm", "A4")
    sizes = [w.height_mm for p in made.pages[1:] for w in p.items if isinstance(w, Text) and w.tag == "hole label"]
    assert sizes.count(READ_MM) > 10 * sizes.count(SMALL_MM)


def test_the_names_of_sheets_on_the_map_lie_in_their_sheets() -> None:
    made = printed("truck-winch-cradle", "de", "mm", "A4")
    names = [i for i in made.pages[0].items if isinstance(i, Text) and i.tag == "sheet name"]
    frames = [i for i in made.pages[0].items if isinstance(i, Stroke) and i.tag == "sheet"]
    boxes = [box_of([s.start for s in f.segments]) for f in frames]
    assert len(names) == len(boxes) == made.sheets
    for name in names:
        assert sum(all(b.grown(0.5).holds(c) for c in text_corners(name)) for b in boxes) == 1, name.text


@pytest.mark.slow
@pytest.mark.parametrize(("language", "word"), [("en", "Sheet"), ("de", "Blatt")])
def test_a_sheet_alone_is_numbered_in_its_title_on_the_map(language: str, word: str) -> None:
    # two plates side by side: a number in the middle stood across an edge
    made = printed("buggy-doubler", language, "in", "Letter")
    texts = [i for i in made.pages[0].items if isinstance(i, Text)]
    # exact: the map is sheet 1, every layout of this sample is one sheet after it
    wanted = [f"{word} {k}: {j.layout.title}" for k, j in enumerate(made.joined, start=2)]
    assert [t.text for t in texts if t.tag == "map name"] == wanted and len(wanted) == 3
    assert not [t for t in texts if t.tag == "sheet name"]
    frames = [i for i in made.pages[0].items if isinstance(i, Stroke) and i.tag == "sheet"]
    for title, below in zip((t for t in texts if t.tag == "map name"), frames, strict=True):
        # it stands over its own sheet, not half over the next one
        box, corners = box_of([s.start for s in below.segments]), text_corners(title)
        assert max(c.x for c in corners) < box.xmax + 2.0, title.text
