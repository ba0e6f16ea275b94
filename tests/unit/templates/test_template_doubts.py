"""Doubts about templates, labels beside what they name, pages as SVG."""

from __future__ import annotations

from template_jobs import hole, job, paper, texts

from cutplan.drawing.model import Stroke, Text
from cutplan.drawing.recorder import text_corners
from cutplan.drawing.svg import render_svg
from cutplan.geometry.vector import Point
from cutplan.pattern.job import Beside
from cutplan.pattern.joint import Joint
from cutplan.pattern.shop import Shop
from cutplan.pattern.wishes import Flange, Marks
from cutplan.templates.plan import plan_templates
from cutplan.templates.result import TemplateSet


def codes(made: TemplateSet) -> set[str]:
    return {f.code for f in made.findings}


def test_doubts_about_a_job_are_findings() -> None:
    fine = plan_templates(job(160, 120, ()), Shop())
    assert codes(fine) == set()
    same = plan_templates(job(160, 120, (), marks=Marks(forward_deg=90.0, up_deg=450.0)), Shop())
    assert codes(same) == {"arrows-same-way"}
    turned = plan_templates(job(160, 120, (), marks=Marks(None, up_deg=10.0, left_deg=-350.0)), Shop())
    assert codes(turned) == {"arrows-same-way"}
    on_line = job(160, 120, (hole("H1", 20, 60, 9, in_skin=True),), joint=Joint("lap", 0.0, 20.0))
    assert "hole-on-opening-line" in codes(plan_templates(on_line, Shop()))
    bent = job(160, 120, (), beside=Beside(flanges=(Flange("lip", (50.0, 9.0), (90.0,), 60.0, 3.0, 2.0),)))
    assert {"short-leg", "tight-bend"} <= codes(plan_templates(bent, Shop()))
    assert "narrow-border" in codes(plan_templates(job(160, 120, (), paper=paper("A4", margin_mm=6.0)), Shop()))


def test_a_hole_is_labelled_nearer_to_it_than_to_any_other() -> None:
    holes = tuple(hole(f"H{k}", 40 + 30 * k, 40 + 10 * (k % 2), 10) for k in range(9))
    made = plan_templates(job(330, 130, holes, paper=paper("A3")), Shop())
    plate = next(p.template for j in made.joined for p in j.layout.placed if p.template.name == "Plate")
    page = made.pages[next(t.sheet for t in made.tiles if t.template == "Plate") - 1]
    rings = {
        i.tag.split()[1]: i.segments[0].box.centre
        for i in page.items
        if isinstance(i, Stroke) and i.tag.startswith("hole ")
    }
    labels = [i for i in page.items if isinstance(i, Text) and i.tag == "hole label"]
    assert len(labels) >= 7 and len(plate.spots) == 9
    for label in labels:
        gaps = {name: _gap(text_corners(label), centre) for name, centre in rings.items()}
        assert gaps[label.text.split()[0]] == min(gaps.values())


def _gap(corners: tuple[Point, ...], p: Point) -> float:
    """Distance from a point to an upright box."""
    x = min(max(p.x, corners[0].x), corners[1].x)
    return p.distance(Point(x, min(max(p.y, corners[0].y), corners[2].y)))


def test_label_and_arrows_of_a_template_lie_on_one_sheet() -> None:
    made = plan_templates(job(500, 230, marks=Marks(up_deg=90.0, forward_deg=180.0)), Shop())
    page = next(p for p in made.pages if "PLATE" in texts(p))
    assert {"FORWARD", "UP"} <= set(texts(page))


def test_the_same_page_goes_out_as_svg_with_true_arcs() -> None:
    from xml.etree.ElementTree import fromstring  # our own page, not a stranger's

    made = plan_templates(job(160, 120, (hole("H1", 80, 60, 22),)), Shop())
    page = next(p for p in made.pages if "PLATE" in texts(p))
    root = fromstring(render_svg(page, title="Plate"))
    name = "{http://www.w3.org/2000/svg}"
    cut = [e.get("d") for e in root.iter(f"{name}path") if "cut" in (e.get("class") or "").split()]
    holes = [e.get("d") for e in root.iter(f"{name}path") if "hole" in (e.get("class") or "").split()]
    assert any(d.count("A25 25 ") == 4 for d in cut)  # exact: four corners of 25 mm
    assert any(d.count("A11 11 ") == 2 for d in holes)  # exact: a circle of 22 mm as two halves
    assert "PLATE" in [e.text for e in root.iter(f"{name}text")]


def test_page_labels_and_bookmarks_tell_sheets_apart() -> None:
    made = plan_templates(job(), Shop())
    labels = [p.label for p in made.pages]
    assert len(set(labels)) == len(labels) and labels[1] == "2"
    assert made.pages[0].bookmark == "Map of the sheets" and all(p.bookmark for p in made.pages)
