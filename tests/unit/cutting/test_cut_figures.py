import pytest
from cut_jobs import job_of, round_hole, sample_holes

from cutplan.cutting.pictures.figures import path_figure
from cutplan.cutting.plan import plan_cut
from cutplan.drawing.model import Stroke, Text
from cutplan.drawing.placer.picture import as_page
from cutplan.drawing.recorder import overlaps
from cutplan.geometry.contour import rectangle
from cutplan.pattern.shop import Shop

ROOM = (180.0, 130.0)


def page(figure):
    return as_page(figure, *ROOM, margin_mm=0.0)


def many():
    holes = tuple(round_hole(f"H{k}", 20.0 + 30.0 * (k % 9), 20.0 + 32.0 * (k // 9), 12.0) for k in range(45))
    return job_of(holes, outline=rectangle(0.0, 0.0, 280.0, 170.0, 8.0))


@pytest.mark.parametrize(
    "job",
    [
        job_of(sample_holes()),
        job_of(sample_holes(), tabs=2),
        many(),
        job_of(sample_holes(), process="jigsaw", kerf_mm=None),
    ],
)
def test_no_text_lies_on_a_line_or_on_another_text(job) -> None:
    plan = plan_cut(job, Shop())
    clear = ("path", "lead", "pierce", "way", "rapid", "mark")
    assert overlaps(page(path_figure(plan)), clear_of=clear) == ()


def test_path_picture_numbers_every_cut_and_shows_its_way() -> None:
    plan = plan_cut(job_of(sample_holes()), Shop())
    figure = path_figure(plan)
    numbers = {i.text for i in figure.items if isinstance(i, Text) and i.tag.startswith("order ")}
    assert numbers == {str(k) for k in range(1, len(plan.paths) + 1)}
    tags = {i.tag for i in figure.items if isinstance(i, Stroke)}
    for k in range(1, len(plan.paths) + 1):
        assert {f"path {k}", f"lead {k}", f"pierce {k}", f"rapid {k}"} <= tags
    assert "way 6" in tags and "mark" in tags


def test_everything_drawn_lies_in_the_box() -> None:
    plan = plan_cut(job_of(sample_holes()), Shop())
    figure = path_figure(plan)
    for item in figure.items:
        if isinstance(item, Stroke):
            for s in item.segments:
                assert figure.box.xmin <= s.box.xmin and s.box.xmax <= figure.box.xmax
                assert figure.box.ymin <= s.box.ymin and s.box.ymax <= figure.box.ymax
