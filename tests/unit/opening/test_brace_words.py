"""A brace in words: how its bars lie agrees with how their section stands."""

from __future__ import annotations

import pytest

from cutplan.geometry.vector import Point
from cutplan.opening.steps.words import brace_said
from cutplan.pattern.brace import BraceBar, BraceDesign, FittedBrace
from cutplan.tables.brace_sections import BraceSection
from cutplan.texts import Reader


@pytest.mark.parametrize("design", ["single", "pair", "frame", "flush"])
@pytest.mark.parametrize(
    ("language", "lying", "standing"), [("en", " flat on", "on edge"), ("de", " flach ", "hochkant")]
)
def test_a_bar_on_edge_is_not_told_to_lie_flat(design: BraceDesign, language: str, lying: str, standing: str) -> None:
    edge = BraceSection("bar", 50.0, 10.0, on_edge=True)
    words = Reader(language, "mm")(
        brace_said(FittedBrace(design, (BraceBar("bar 1", Point(0.0, 0.0), Point(184.0, 0.0), edge, 0.0, ()),)))
    )
    # exact: one way to lie in one sentence
    assert standing in words and lying not in words
