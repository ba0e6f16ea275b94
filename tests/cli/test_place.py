"""``cutplan place`` as a person calls it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from cutplan.cli.main import main

STUDY = Path(__file__).parents[2] / "sample_parts" / "pickup-gear-plate" / "study.toml"


def test_the_sample_study_is_answered_and_written_the_same_twice(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    small = tmp_path / "study.toml"
    small.write_text(STUDY.read_text(encoding="utf-8").replace("[map]", "[map]\ncount = 21"), encoding="utf-8")
    assert main(["place", str(small), "-o", str(tmp_path / "a")]) == 0
    out = capsys.readouterr()
    assert "move the gear 35.0 mm forward" in out.out and "Traceback" not in out.err  # pinned
    assert main(["place", str(small), "-o", str(tmp_path / "b"), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told == json.loads((tmp_path / "a" / "place.json").read_text(encoding="utf-8"))
    assert told["now"]["inner_lock"]["value"] is None and told["now"]["travel_left"]["value"] < 0.0
    assert all(w["held"] for w in told["wishes"]) and told["recommended"]["tolerance_mm"] > 0.2
    for name in ("place.json", "place-map.png"):
        assert (tmp_path / "a" / name).read_bytes() == (tmp_path / "b" / name).read_bytes()


def test_a_study_that_cannot_be_read_is_refused_without_a_traceback(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "s.toml").write_text('units = "mm"\n', encoding="utf-8")
    assert main(["place", str(tmp_path / "s.toml")]) == 1
    said = capsys.readouterr().err
    assert said.startswith("error: ") and "wheelbase" in said and "Traceback" not in said
    assert main(["place", str(tmp_path / "none.toml"), "--json"]) == 1
    assert "error" in json.loads(capsys.readouterr().out)
