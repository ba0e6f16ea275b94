"""Changes to a job file: the value changes, every other line stays as it was."""

from __future__ import annotations

import difflib
import tomllib
from pathlib import Path
from typing import Any

import pytest

from cutplan.errors import JobError
from cutplan.project.demo import demo_job
from cutplan.project.desk.editing.edit import Conflict, comparable, edited
from cutplan.project.desk.editing.spelling import pointed_length, typed_length

TEXT = demo_job().read_text(encoding="utf-8")
SAMPLES = sorted((Path(__file__).parents[3] / "sample_parts").glob("*/job.toml"))


def lines(before: str, after: str) -> list[str]:
    """The lines that went and came."""
    found = difflib.unified_diff(before.splitlines(), after.splitlines(), lineterm="", n=0)
    return [d for d in found if d[0] in "+-" and not d.startswith(("+++", "---"))]


def test_a_dragged_point_changes_its_line_alone() -> None:
    value = [{"mm": 110.1234}, {"mm": 95.0}]
    after = edited(TEXT, [{"do": "set", "at": ["pad", 0, "at"], "value": value}])
    # exact: a hundredth of a millimetre, and a whole number stays whole
    assert lines(TEXT, after) == ["-at = [105, 95]", "+at = [110.12, 95]"]


def test_a_typed_length_stands_as_it_was_typed() -> None:
    after = edited(TEXT, [{"do": "set", "at": ["skin", "walls", "left"], "value": {"typed": "2 3/4 in"}}])
    assert lines(TEXT, after) == ["-left = 70", '+left = "2 3/4 in"']


@pytest.mark.parametrize(
    "like, mm, unit, spelled",
    [
        (105, 110.0, "mm", 110),
        (105, 110.5, "mm", 110.5),
        ("1 1/2 in", 25.4, "mm", "1 in"),
        ("1 1/2 in", 9.525, "mm", "3/8 in"),
        ("1 1/2 in", 10.0, "mm", "0.3937 in"),
        ("38 mm", 12.346, "in", "12.35 mm"),
        (2, 25.4, "in", 1),
        (None, 12.7, "in", 0.5),
        ("1.5", 10.0, "mm", "10 mm"),
    ],
)
def test_a_pointed_length_is_spelled_like_the_one_before(like: Any, mm: float, unit: Any, spelled: Any) -> None:
    # exact: 25.4 mm to the inch
    assert pointed_length(mm, like, unit) == spelled


@pytest.mark.parametrize(
    "text, shown, unit, kept",
    [
        ("38", "mm", "mm", 38),
        ("38,5", "mm", "mm", 38.5),
        ("38", "mm", "in", "38 mm"),
        (" 1   1/2 in ", "mm", "mm", "1 1/2 in"),
    ],
)
def test_a_plain_number_is_in_the_unit_of_its_field(text: str, shown: Any, unit: Any, kept: Any) -> None:
    assert typed_length(text, shown, unit) == kept


def test_a_new_table_stands_apart_and_the_rest_stays() -> None:
    after = edited(
        TEXT, [{"do": "add", "at": ["plate", "hole"], "value": {"at": [{"mm": 40}, {"mm": 40}], "diameter": 11}}]
    )
    new = "\n[[plate.hole]]\nat = [40, 40]\ndiameter = 11\n"
    assert after == TEXT.replace("\n[joint]", new + "\n[joint]")


def test_the_last_of_a_list_takes_the_list_along() -> None:
    drop = {"do": "drop", "at": ["pad", 0]}
    assert "pad" not in tomllib.loads(edited(TEXT, [drop, drop]))


def test_a_reading_joins_the_list_in_a_line_of_its_own() -> None:
    text = next(p for p in SAMPLES if "vineyard" in p.parent.name).read_text(encoding="utf-8")
    reading = {"from": "A", "to": "E", "length": {"typed": "12 3/16 in"}}
    after = edited(text, [{"do": "add", "at": ["survey", "tape"], "value": reading}])
    assert lines(text, after) == ['+  { from = "A", to = "E", length = "12 3/16 in" },']


def test_line_ends_and_byte_order_mark_stay() -> None:
    text = "\ufeff" + TEXT.replace("\n", "\r\n")
    after = edited(text, [{"do": "set", "at": ["joint", "gap"], "value": 1.5}])
    assert after == text.replace("gap = 1.2", "gap = 1.5")


def test_what_was_seen_must_still_stand_there() -> None:
    with pytest.raises(Conflict):
        edited(TEXT, [{"do": "set", "at": ["joint", "gap"], "value": 2, "was": 1.0}])
    assert "gap = 2" in edited(TEXT, [{"do": "set", "at": ["joint", "gap"], "value": 2, "was": 1.2}])
    assert comparable(tomllib.loads(TEXT))["date"] == "2026-03-14"


@pytest.mark.parametrize(
    "change",
    [
        {"do": "set", "at": ["pad", 9, "at"], "value": 1},
        {"do": "set", "at": [], "value": 1},
        {"do": "set", "at": ["a"] * 9, "value": 1},
        {"do": "set", "at": ["joint", "gap"], "value": None},
        {"do": "set", "at": ["joint", "gap"], "value": {"typed": "abc"}},
        {"do": "set", "at": ["joint", True], "value": 1},
        {"do": "burn", "at": ["joint"], "value": 1},
        {"do": "set", "at": ["title", "x"], "value": 1},
        {"do": "drop", "at": ["nothing"]},
    ],
)
def test_a_change_without_a_place_is_refused(change: dict[str, Any]) -> None:
    with pytest.raises(ValueError):
        try:
            edited(TEXT, [change])
        except JobError:
            raise
        except Exception as fault:
            raise ValueError(str(fault)) from None


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.parent.name)
def test_every_value_of_every_sample_can_be_set_to_itself(path: Path) -> None:
    text = path.read_text(encoding="utf-8")

    def leaves(value: Any, at: list[str | int]) -> list[list[str | int]]:
        if isinstance(value, dict):
            return [leaf for k, v in value.items() for leaf in leaves(v, [*at, k])]
        if isinstance(value, list):
            return [leaf for i, v in enumerate(value) for leaf in leaves(v, [*at, i])]
        return [at] if isinstance(value, (int, float, str)) else []

    data = tomllib.loads(text)
    for at in leaves(data, [])[::3]:
        value: Any = data
        for step in at:
            value = value[step]
        assert tomllib.loads(edited(text, [{"do": "set", "at": at, "value": value}])) == data
