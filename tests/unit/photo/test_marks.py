"""The words of the strips, and reading them however a strip lies."""

from __future__ import annotations

import numpy as np
import pytest

from cutplan.photo.marking import marks


def _views(word: np.ndarray) -> list[np.ndarray]:
    return [word, word[::-1, ::-1], word[::-1], word[:, ::-1]]


def test_words_differ_from_each_other_and_from_themselves_turned_or_mirrored() -> None:
    words = marks.words()
    least = min(
        int((a != b).sum())
        for i, a in enumerate(words)
        for j, word in enumerate(words)
        for k, b in enumerate(_views(word))
        if (i, 0) != (j, k)
    )
    assert least >= 13  # exact: counted over all pairs


@pytest.mark.parametrize("strip", range(len(marks.LETTERS)))
def test_a_strip_is_read_turned_and_mirrored_with_two_dots_wrong(strip: int) -> None:
    rng = np.random.default_rng(strip)
    for turned in (False, True):
        for mirrored in (False, True):
            grid = marks.words()[strip].copy()
            grid[rng.integers(3), rng.integers(11)] ^= True
            seen = np.ones_like(grid)
            seen[rng.integers(3), rng.integers(11)] = False
            if mirrored:
                grid, seen = grid[::-1], seen[::-1]
            if turned:
                grid, seen = grid[::-1, ::-1], seen[::-1, ::-1]
            reading = marks.read_word(grid, seen)
            assert reading is not None
            assert (reading.strip, reading.turned, reading.mirrored) == (strip, turned, mirrored)


def test_noise_spells_nothing() -> None:
    rng = np.random.default_rng(0)
    seen = np.ones((3, 11), dtype=bool)
    read = [marks.read_word(rng.random((3, 11)) < 0.5, seen) for _ in range(2000)]
    assert sum(r is not None for r in read) <= 2
    assert marks.read_word(marks.words()[0], rng.random((3, 11)) < 0.5) is None  # half of the dots are no strip
