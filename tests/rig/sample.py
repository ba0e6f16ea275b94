# ruff: noqa: E402
"""The photographs of the sample job, made anew: ``python tests/rig/sample.py`` (card, strips and views are our own)."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from cutplan.geometry.contour import circle_contour, polyline, rectangle
from cutplan.geometry.region import Region
from cutplan.geometry.vector import Point
from rig.cases import known
from rig.render import jpeg, render
from rig.scene import QUARTER, Scene, Strip, View, main_scene, moved, turned

FOLDER = ROOT / "sample_parts" / "horsebox-jack-plate"
PHOTOS = tuple(sorted(FOLDER.glob("card-*.jpg")))
#: The length that was measured, read to 0.1 mm.
KNOWN = {"A1-D2": 399.8}


def card() -> Region:
    """Return the card: 230 x 150 mm, six lines and four arcs, three round holes and a slot, about its middle."""
    b = QUARTER
    outer = polyline(
        [
            (12.0, 0.0, 0.0),
            (205.0, 0.0, b),
            (230.0, 25.0, 0.0),
            (230.0, 95.0, 0.0),
            (180.0, 150.0, 0.0),
            (120.0, 150.0, -1.0),
            (80.0, 150.0, 0.0),
            (30.0, 150.0, b),
            (0.0, 120.0, 0.0),
            (0.0, 12.0, b),
        ]
    )
    holes = [
        circle_contour(Point(x, y), 0.5 * d, ccw=False)
        for x, y, d in ((28.0, 28.0, 13.0), (200.0, 30.0, 13.0), (115.0, 62.0, 45.0))
    ]
    slot = rectangle(30.0, 100.0, 34.0, 14.0, 7.0).oriented(ccw=False)
    return moved(Region(outer, (*holes, slot)), -115.0, -75.0)


def sample_scene() -> Scene:
    """Return the sample's scene: six strips, four photographs of 2 million pixels."""
    strips = (
        Strip(0, -58.0, 122.0, 1.5),
        Strip(1, 126.0, 121.0, -2.0),
        Strip(2, 172.0, -1.0, 91.0),
        Strip(3, 94.0, -131.0, 3.0),
        Strip(4, -92.0, -126.0, -1.0),
        Strip(5, -176.0, 2.0, 88.0),
    )
    views = tuple(
        View(15.0, 90.0 * i + 20.0, 500.0 + 9.0 * i, 4.0 - 3.0 * i, (2.0 * i, 3.0 - 2.0 * i)) for i in range(4)
    )
    scene = main_scene()
    return replace(
        scene,
        card=turned(card(), -7.0),
        strips=strips,
        views=views,
        thickness_mm=2.5,
        lens=scene.lens.smaller(0.41),
        print_scale=(1.0021, 1.0034),
        blur_px=0.9,
    )


def main() -> None:
    """Write the photographs and tell the length that was measured."""
    scene = sample_scene()
    FOLDER.mkdir(parents=True, exist_ok=True)
    for i, view in enumerate(scene.views):
        data = jpeg(render(scene, view, i), 86)
        (FOLDER / f"card-{i + 1}.jpg").write_bytes(data)
        print(f"card-{i + 1}.jpg {len(data)} bytes")
    k = known(scene)
    print(f"{k.label}={k.length_mm:.1f}")


if __name__ == "__main__":
    main()
