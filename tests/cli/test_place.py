"""``cutplan place`` as a person calls it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from cutplan.cli.main import main

STUDY = Path(__file__).parents[2] / "sample_parts" / "pickup-gear-plate" / "study.toml"


@pytest.mark.slow
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


def test_a_new_job_follows_the_study(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from cutplan.files.job.read import read_job

    job = tmp_path / "gear" / "job.toml"
    assert main(["new", str(job), "--place", str(STUDY), "--thickness", "5", "--skin", "3"]) == 0
    read = read_job(job)
    assert (
        read.origin.moved is not None
        and read.origin.moved.study == "study.toml"
        and read.origin.moved.shift_mm == (35.0, 0.0, -15.0)
    )
    assert (job.parent / "study.toml").read_bytes() == STUDY.read_bytes()
    assert tuple(read.plate.holes[0].centre) == pytest.approx((40.0, 75.0))  # drawn at (40, 40), forward is up
    assert read.pads[0].centre == read.plate.holes[0].centre and read.pads[0].pitch_mm == read.origin.moved.tolerance_mm
    assert any(f.code == "moved-out-of-plate" for f in read.origin.findings)  # 15 mm down, on a plate that lies flat
    capsys.readouterr()


def test_no_job_is_written_from_a_study_without_a_place(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    study = tmp_path / "study.toml"
    text = STUDY.read_text(encoding="utf-8").replace("[map]", "[map]\ncount = 11")
    study.write_text(text.replace("at_least = 18", "at_least = 80"), encoding="utf-8")
    assert main(["new", str(tmp_path / "job.toml"), "--place", str(study)]) == 1
    said = capsys.readouterr().err
    assert "not held at the best place" in said and "nan" not in said
    assert not (tmp_path / "job.toml").exists()


def test_a_study_to_start_from_is_written_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    study = tmp_path / "mine" / "study.toml"
    assert main(["place", "--new", str(study)]) == 0
    assert study.read_bytes() == STUDY.read_bytes()
    assert main(["place", "--new", str(study)]) == 1
    assert "already" in capsys.readouterr().err
