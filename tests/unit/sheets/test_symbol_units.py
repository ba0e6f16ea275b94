"""Weld symbols in an inch shop: the AWS form in inches with their mark, the ISO form in millimetres always."""

from __future__ import annotations

from cutplan.sheets.welding.symbols import WeldSymbol, left_text, right_text


def test_the_aws_form_follows_the_shops_units() -> None:
    fillet = WeldSymbol("fillet", 25.4 * 0.25 / 2**0.5, count=3, length_mm=50.8, clear_mm=50.8)
    assert left_text(fillet, "AWS", "in") == '1/4"'  # exact: leg = throat x sqrt 2
    assert right_text(fillet, "AWS", "in") == '2"-4"'
    assert left_text(fillet, "ISO", "in") == left_text(fillet, "ISO") == "a4.5"
    assert left_text(WeldSymbol("square butt", 3.175), "AWS", "in") == '(1/8")'
