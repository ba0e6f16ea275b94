"""Every value of ``shared/*.toml`` against our own function, within the rounding of its source."""

from __future__ import annotations

from pathlib import Path

import pytest
from check_values import SHARED, Check, read_all, read_entry, read_file

from cutplan.errors import CutplanError

CHECKS = read_all()
GOOD = {
    "id": "x",
    "function": "cutplan.welding.heat.arc.arc_energy_J_per_mm",
    "inputs": {"voltage_V": 20.0, "current_A": 100.0, "speed_mm_per_s": 5.0},
    "value": 400.0,
    "unit": "J/mm",
    "tolerance": 1e-9,
    "source": "by hand",
    "tag": "exact",
    "shows": "entered",
}


@pytest.mark.parametrize("check", CHECKS, ids=[c.id for c in CHECKS])
def test_value_agrees_with_its_source(check: Check) -> None:
    if check.refused:
        with pytest.raises(CutplanError):
            check.ours()
        return
    assert check.agrees, f"{check.id}: source {check.value} {check.unit} +/- {check.tolerance}, ours {check.ours()}"


def test_ids_are_unique_over_all_files() -> None:
    ids = [c.id for c in CHECKS]
    assert len(ids) == len(set(ids)), sorted({i for i in ids if ids.count(i) > 1})


def test_every_file_is_read_and_holds_checks() -> None:
    files = {path.name for path in SHARED.glob("*.toml")}
    assert files == {c.file for c in CHECKS}


@pytest.mark.parametrize("key", ["source", "tag", "shows", "value", "unit", "tolerance", "inputs", "function", "id"])
def test_entry_without_a_key_is_rejected(key: str) -> None:
    with pytest.raises(ValueError, match=key):
        read_entry({k: v for k, v in GOOD.items() if k != key}, "planted")
    with pytest.raises(ValueError, match=key):
        read_entry({**GOOD, key: ""}, "planted")


def test_unknown_key_and_unknown_tag_are_rejected() -> None:
    with pytest.raises(ValueError, match="unknown"):
        read_entry({**GOOD, "tolerence": 1.0}, "planted")
    with pytest.raises(ValueError, match="tag"):
        read_entry({**GOOD, "tag": "pinned"}, "planted")
    with pytest.raises(ValueError, match="shows"):
        read_entry({**GOOD, "shows": "proof"}, "planted")


def test_no_value_that_we_hold_ourselves_counts_as_agreement() -> None:
    """A value out of our own table or fitted constant agrees by itself: its label must say so."""
    for check in CHECKS:
        if check.function.startswith("cutplan.tables.") and check.function.rsplit(".", 1)[1] != "section_values":
            assert check.shows in ("copied", "entered", "fitted"), check.id
    assert {c.id for c in CHECKS if "a fit," in c.note} == {c.id for c in CHECKS if c.shows == "fitted"}


def test_a_planted_wrong_value_is_seen() -> None:
    assert read_entry(GOOD, "planted").agrees
    assert not read_entry({**GOOD, "value": 400.1}, "planted").agrees


def test_file_without_title_is_rejected(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text("[[check]]\nid = 'x'\n", encoding="utf-8")
    with pytest.raises(ValueError, match="title"):
        read_file(tmp_path / "a.toml")
