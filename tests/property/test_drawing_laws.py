"""Laws of reading drawings: what was written comes back, and how it was drawn makes no difference."""

from __future__ import annotations

import random
import tempfile
from pathlib import Path

import pytest
from drawing_help import dxf, loose, save
from hypothesis import given, settings
from hypothesis import strategies as st
from property.strategies import carried, motions, plates

from cutplan.files.drawing_in import read_drawing
from cutplan.files.dxf.sketch import SketchLayer
from cutplan.files.dxf.write import dxf_text
from cutplan.geometry.region import Region
from cutplan.geometry.segment import Arc

FEW = settings(max_examples=25, deadline=None)


def entities_of(region: Region) -> list[str]:
    """Return a plate as loose LINE, ARC and CIRCLE entities, written with all digits."""
    out: list[str] = []
    for contour in region.contours:
        out += [loose(s) for s in contour.segments]
    return out


def read_text(text: str) -> Region:
    with tempfile.TemporaryDirectory() as folder:
        drawing = read_drawing(save(Path(folder), text), units="mm")
    assert drawing.sound, drawing.findings
    (part,) = drawing.parts
    return part.region


def assert_same(found: Region, plate: Region) -> None:
    """Areas, lengths, centre and holes agree (exact: nothing is lost but the last digits)."""
    assert found.outer.area == pytest.approx(plate.outer.area, rel=1e-9)
    assert found.area == pytest.approx(plate.area, rel=1e-9)
    assert found.perimeter == pytest.approx(plate.perimeter, rel=1e-9)
    assert tuple(found.centroid) == pytest.approx(tuple(plate.centroid), abs=1e-6)
    assert sorted(h.area for h in found.holes) == pytest.approx(sorted(h.area for h in plate.holes), rel=1e-9)
    assert radii(found) == pytest.approx(radii(plate), abs=1e-9)


def radii(region: Region) -> list[float]:
    circles = [h.as_circle() for h in region.holes]
    return sorted(c[1] for c in circles if c is not None)


@FEW
@given(plates(), st.sampled_from(["R2000", "R12"]))
def test_what_was_written_is_read_back(plate: Region, version: str) -> None:
    text = dxf_text([SketchLayer("cut", plate.contours)], version=version)  # type: ignore[arg-type]
    assert_same(read_text(text), plate)


@FEW
@given(plates(), motions(), st.randoms(use_true_random=False))
def test_order_direction_and_place_make_no_difference(
    plate: Region, motion: tuple[float, float, float, bool], rng: random.Random
) -> None:
    plate = carried(plate, motion)
    drawn = []
    for contour in plate.contours:
        drawn += [loose(s.reversed() if rng.random() < 0.5 else s) for s in contour.segments]
    rng.shuffle(drawn)
    assert_same(read_text(dxf(*drawn)), plate)


@FEW
@given(plates(), st.randoms(use_true_random=False))
def test_splitting_and_repeating_make_no_difference(plate: Region, rng: random.Random) -> None:
    drawn = []
    for contour in plate.contours:
        for s in contour.segments:
            if isinstance(s, Arc) and s.is_circle:
                drawn += [loose(s.part(0.0, 0.4)), loose(s.part(0.4, 1.0))]
            elif s.length > 1.0 and rng.random() < 0.3:
                cut = rng.uniform(0.2, 0.8)
                drawn += [loose(s.part(0.0, cut)), loose(s.part(cut, 1.0))]
            else:
                drawn.append(loose(s))
    drawn += [drawn[rng.randrange(len(drawn))] for _ in range(3)]
    rng.shuffle(drawn)
    assert_same(read_text(dxf(*drawn)), plate)


@FEW
@given(plates(), st.integers(0, 2))
def test_a_far_origin_costs_no_digits_that_matter(plate: Region, power: int) -> None:
    far = plate.moved(10.0 ** (4 + power), -(10.0 ** (4 + power)))
    found = read_text(dxf(*entities_of(far)))
    # exact; coordinates near 1e6 mm carry about 1e-10 mm, the areas therefore about 1e-8 mm2 for each mm of edge
    assert found.area == pytest.approx(plate.area, rel=1e-8)


@settings(max_examples=10, deadline=None)
@given(plates())
def test_the_other_library_finds_nothing_to_mend(plate: Region) -> None:
    import io

    import ezdxf

    for version in ("R2000", "R12"):
        text = dxf_text([SketchLayer("cut", plate.contours)], version=version)  # type: ignore[arg-type]
        doc = ezdxf.read(io.StringIO(text))  # type: ignore[attr-defined]
        audit = doc.audit()
        assert not audit.errors and not audit.fixes
