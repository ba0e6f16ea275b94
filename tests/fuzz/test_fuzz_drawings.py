"""Damaged drawings: an answer or a refusal in words, never a traceback, a hang or a memory hunger."""

from __future__ import annotations

import json
import os
import random
import time
import tracemalloc
from pathlib import Path

import pytest
from fuzz.drawing_corpus import corpus, mutated

from cutplan.errors import CutplanError
from cutplan.files.drawing_in import read_drawing

#: Longest time that one damaged drawing may take; the files are small, so this is far below the limit of 10 s.
_LONGEST_S = 5.0


def _hit(path: Path, data: bytes, seed: int) -> None:
    path.write_bytes(data)
    begin = time.perf_counter()
    try:
        drawing = read_drawing(path, repair=seed % 3 == 0)
    except CutplanError as refusal:
        assert refusal.message and refusal.where, (seed, refusal)
    else:
        json.loads(json.dumps(drawing.as_dict(), allow_nan=False))
        assert drawing.parts or not drawing.sound, seed
        assert all(p.region.outer.area > 0.0 for p in drawing.parts), seed
    assert time.perf_counter() - begin < _LONGEST_S, seed


def _rounds(tmp_path: Path, seeds: range) -> None:
    files = corpus()
    for seed in seeds:
        rng = random.Random(seed)
        try:
            _hit(tmp_path / "x.dxf", mutated(rng.choice(files), rng), seed)
        except CutplanError:
            raise
        except AssertionError:
            raise
        except Exception as fault:
            raise AssertionError(f"seed {seed}: {type(fault).__name__}: {fault}") from fault


def test_the_corpus_itself_is_sound(tmp_path: Path) -> None:
    for i, data in enumerate(corpus()):
        path = tmp_path / "x"
        path.write_bytes(data)
        drawing = read_drawing(path)
        assert drawing.parts, i


def test_damaged_drawings(tmp_path: Path) -> None:
    _rounds(tmp_path, range(120))


@pytest.mark.slow
def test_many_damaged_drawings(tmp_path: Path) -> None:
    _rounds(tmp_path, range(1000, 2500))


@pytest.mark.skipif("CUTPLAN_FUZZ_MINUTES" not in os.environ, reason="the longer search by hand: make fuzz MINUTES=10")
def test_damaged_drawings_for_as_long_as_is_asked(tmp_path: Path) -> None:
    first = int(os.environ.get("CUTPLAN_FUZZ_SEED", "100000"))
    end = time.monotonic() + 60.0 * float(os.environ["CUTPLAN_FUZZ_MINUTES"])
    while time.monotonic() < end:
        _rounds(tmp_path, range(first, first + 50))
        first += 50
    print(f"next seed: {first}")


@pytest.mark.slow
def test_memory_stays_bounded(tmp_path: Path) -> None:
    tracemalloc.start()
    try:
        _rounds(tmp_path, range(9000, 9150))
        assert tracemalloc.get_traced_memory()[1] < 2**29
    finally:
        tracemalloc.stop()
