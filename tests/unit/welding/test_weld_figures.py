"""Pictures: what must be seen is there, where it must be, and the key tells the same numbers as the plan."""

from __future__ import annotations

from functools import cache

import pytest
from weld_jobs import rectangle_job

from cutplan.drawing.font import text_width
from cutplan.drawing.model import Figure, Stroke, Text
from cutplan.errors import JobError
from cutplan.welding.figures import heat_figure, keep_away_words, wait_figure
from cutplan.welding.plan import plan_weld
from cutplan.welding.result import WeldPlan


@cache
def plan() -> WeldPlan:
    """A plan by rule: pictures do not need the order model."""

    def refuse(*_: object) -> None:
        raise JobError("no order wanted here")

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("cutplan.welding.order.plan_order", refuse)
        return plan_weld(rectangle_job())


def strokes(figure: Figure, tag: str) -> list[Stroke]:
    return [i for i in figure.items if isinstance(i, Stroke) and i.tag == tag]


def words(figure: Figure) -> list[str]:
    return [i.text for i in figure.items if isinstance(i, Text)]


def test_heat_key_tells_the_plan_and_bands_reach_as_far() -> None:
    job = rectangle_job()
    figure = heat_figure(job, plan(), 200.0)
    coolest_first = sorted(plan().heat.keep_away, key=lambda k: -k.distance_mm.mid)
    assert " ".join(words(figure)) == " ".join(str(keep_away_words(k)) for k in coolest_first)
    assert max(text_width(w, 3.6) for w in words(figure)) <= 200.0 - 11.0
    widest = max(plan().heat.keep_away, key=lambda k: k.distance_mm.mid)
    xs = [p.x for s in strokes(figure, f"heat {widest.thing}") for p in (v.start for v in s.segments)]
    box = job.plate.outline.box.grown(widest.distance_mm.mid)
    # exact: outline and twice the reach fill the width, or stand as high as a picture over a key may
    assert max(xs) - min(xs) == pytest.approx(min(200.0, 0.6 * 200.0 * box.width / box.height), rel=2e-3)


def test_wait_chart_has_a_bar_and_a_mark_for_each_bead() -> None:
    figure = wait_figure(plan())
    assert len(strokes(figure, "tack")) == len(plan().tacks)
    assert len(strokes(figure, "stitch")) == len(plan().stitches)
    for b in (*plan().tacks, *plan().stitches):
        assert len(strokes(figure, f"before {b.name}")) == 1
    starts = [min(s.box.xmin for s in bar.segments) for bar in strokes(figure, "stitch")]
    assert starts == sorted(starts)
