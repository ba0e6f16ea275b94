"""Printed figures of shops and handbooks against the band of one bead: which are met and which are missed.

The list of misses is pinned: it is no proof of anything, but a figure cannot slip from one side to the other unseen.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from shop_figures import Figure, figures

#: Missed by the band, with what they say about it (pinned).
MISSED = {
    "across a fillet, leg to 3/4 t",  # the rule is more than our highest: an energy form carries it away in the flange
    "along a butt weld, each metre",  # a rule that does not know the width of the plate
}


@pytest.fixture(scope="module")
def found() -> list[Figure]:
    return figures()


def test_the_same_figures_are_missed_as_the_page_says(found: list[Figure]) -> None:
    assert {f.name for f in found if not f.inside} == MISSED


def test_a_band_that_is_far_off_is_seen(found: list[Figure]) -> None:
    """Planted: a tenth of the energy form meets none of the fillets' figures."""
    for figure in found:
        tenth = replace(figure.ours, low=0.1 * figure.ours.low, mid=0.1 * figure.ours.mid, high=0.1 * figure.ours.high)
        if figure.least > 0.2:
            assert not replace(figure, ours=tenth).inside


def test_assumptions_and_sources_are_named(found: list[Figure]) -> None:
    assert all(f.source and f.assumed and f.least <= f.most for f in found)
