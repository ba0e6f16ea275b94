"""Weld symbols: the facts of ISO 2553 and AWS A2.4 that tell the two forms apart."""

from __future__ import annotations

import pytest

from cutplan.drawing.model import Item, Stroke, Text
from cutplan.geometry.vector import Point
from cutplan.sheets.welding.symbols import Form, WeldSymbol, draw_symbol, left_text, right_text, tail_text

AT = Point(50.0, 50.0)


def drawn(symbol: WeldSymbol, form: Form) -> tuple[Item, ...]:
    return draw_symbol(symbol, AT, Point(40.0, 40.0), form)[0]


def heights(items: tuple[Item, ...], tag: str) -> list[float]:
    return [p.y for i in items if isinstance(i, Stroke) and i.tag == tag for s in i.segments for p in (s.start, s.end)]


@pytest.mark.parametrize("shape", ["fillet", "square butt", "single V", "plug"])
def test_arrow_side_is_above_the_solid_line_in_iso_and_below_the_line_in_aws(shape: str) -> None:
    symbol = WeldSymbol(shape, 3.0)  # type: ignore[arg-type]
    assert min(heights(drawn(symbol, "ISO"), f"symbol {shape}")) >= AT.y
    assert max(heights(drawn(symbol, "AWS"), f"symbol {shape}")) <= AT.y


def test_the_dashed_line_belongs_to_iso_system_a_only() -> None:
    iso = heights(drawn(WeldSymbol("fillet", 3.0), "ISO"), "symbol dashed")
    assert iso and max(iso) < AT.y
    assert heights(drawn(WeldSymbol("fillet", 3.0), "AWS"), "symbol dashed") == []


@pytest.mark.parametrize("form", ["ISO", "AWS"])
def test_the_fillet_s_upright_leg_stands_on_the_left(form: Form) -> None:
    # from memory: both standards
    (tri,) = [i for i in drawn(WeldSymbol("fillet", 3.0), form) if isinstance(i, Stroke) and i.tag == "symbol fillet"]
    upright = [s for s in tri.segments if abs(s.start.x - s.end.x) < 1e-9]
    assert len(upright) == 1
    assert upright[0].start.x == min(p.x for s in tri.segments for p in (s.start, s.end))


def test_sizes_are_throat_in_iso_and_leg_in_aws() -> None:
    symbol = WeldSymbol("fillet", 4.0)
    assert left_text(symbol, "ISO") == "a4"
    assert left_text(symbol, "AWS") == "5.7"  # exact: 4 sqrt 2 = 5.657


def test_interrupted_welds_count_clear_distance_in_iso_and_pitch_in_aws() -> None:
    symbol = WeldSymbol("fillet", 3.5, count=12, length_mm=25.0, clear_mm=50.0)
    assert right_text(symbol, "ISO") == "12×25 (50)"
    assert right_text(symbol, "AWS") == "25-75"


def test_the_tail_holds_the_process_number_or_its_letters() -> None:
    symbol = WeldSymbol("square butt", 2.5, process="GMAW", quality="ISO 5817-C")
    assert tail_text(symbol, "ISO") == "135 / ISO 5817-C"
    assert tail_text(symbol, "AWS") == "GMAW"


def test_all_round_and_site_stand_at_the_joint_of_arrow_and_line() -> None:
    items = drawn(WeldSymbol("fillet", 3.0, all_round=True, on_site=True), "ISO")
    (ring,) = [i for i in items if isinstance(i, Stroke) and i.tag == "symbol all-round"]
    assert ring.segments[0].box.centre.distance(AT) < 1e-9
    assert any(i.tag == "symbol on-site" for i in items)


def test_root_opening_stands_in_the_aws_symbol_only() -> None:
    symbol = WeldSymbol("square butt", 2.5, root_gap_mm=1.2)
    texts = [i.text for i in drawn(symbol, "AWS") if isinstance(i, Text)]
    assert "1.2" in texts
    assert "1.2" not in [i.text for i in drawn(symbol, "ISO") if isinstance(i, Text)]
