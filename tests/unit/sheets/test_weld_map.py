"""The map of beads: what it shows stays in the picture."""

from sheet_results import planned

from cutplan.geometry.contour import rectangle
from cutplan.pattern.job import About, Job
from cutplan.pattern.joint import Joint
from cutplan.pattern.plate import Plate
from cutplan.pattern.skin import Skin
from cutplan.pattern.wishes import Welding
from cutplan.sheets.welding.weld_map import weld_figure


def test_the_way_of_a_stitch_that_turns_a_corner_stays_in_the_picture() -> None:
    plate = Plate(rectangle(0.0, 0.0, 45.0, 38.0, 8.0), (), 3.0)
    results = planned(Job(About("tiny"), plate, Joint("butt", 1.0), Skin(2.0), welding=Welding(orders=2)))
    assert results.weld is not None and len(results.weld.stitches) == 4  # each round one corner
    figure = weld_figure(results.job, results.weld, tacks=False)
    box = figure.box
    ways = [i for i in figure.items if getattr(i, "tag", "").startswith("travel")]
    assert ways
    for item in ways:
        ends = [s.point_at(t) for s in item.segments for t in (0.0, 1.0)]
        assert all(box.xmin <= p.x <= box.xmax and box.ymin <= p.y <= box.ymax for p in ends)
