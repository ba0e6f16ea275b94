"""The keys of the job file are declared once: what is declared is read, and what is offered is accepted."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

from cutplan.errors import JobError
from cutplan.files.job.begin import Answer, begun
from cutplan.files.job.declared.job import JOB
from cutplan.files.job.declared.key import Key
from cutplan.files.job.keys import Keys
from cutplan.files.job.problems import Problems
from cutplan.files.job.read import job_from
from cutplan.texts import Reader
from cutplan.units import UnitName


def keys_of(table: Key, path: str = "") -> dict[str, Key]:
    """Return every plain key below a table by its path."""
    out: dict[str, Key] = {}
    for key in table.keys:
        at = f"{path}.{key.name}" if path else key.name
        out |= keys_of(key, at) if key.kind in ("table", "tables") else {at: key}
    return out


def all_on(units: UnitName, language: str = "en") -> dict[str, Any]:
    """Return the data of a new job file with everything that is offered."""
    text = begun({"title": Answer("all of it"), "plate": {"hole": [{}]}}, units, Reader(language))
    return tomllib.loads(re.sub(r"^# (?=\[|\w+ = )", "", text, flags=re.M))


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("units", ["mm", "in"])
def test_all_that_is_offered_is_read(units: UnitName, language: str) -> None:
    job = job_from(all_on(units, language), Path("job.toml"))
    assert (job.pads[0].name, job.skin.ribs[0].name, job.skin.box_depth_mm) == (
        "mount",
        "R1",
        {"mm": 80.0, "in": 76.2}[units],
    )
    assert job.brace is not None and job.cutting.kerf_mm == {"mm": 1.5, "in": 1.524}[units]
    assert job.marks.left_deg == 180.0 and job.plate.holes[0].bolt == "M10"


def test_what_is_said_beside_the_keys_is_in_the_language_asked_for() -> None:
    text = begun({}, "mm", Reader("de"))
    assert "wie die Platte geschnitten wird" in text and "how the plate is cut" not in text


@pytest.mark.parametrize("path", [p for p, k in keys_of(JOB).items() if k.kind in ("length", "number", "count")])
def test_limits_are_held_where_they_are_declared(path: str) -> None:
    key = keys_of(JOB)[path]
    for limit, beyond in ((key.limits[0], -1), (key.limits[1], 1)):
        problems = Problems("job.toml")
        table = Key("t", "table", key.help, keys=(key,))
        limit, step = (
            int(limit) if key.kind == "count" else limit,
            1 if key.kind == "count" else 1e-3 * max(1.0, abs(limit)),
        )
        k = Keys({key.name: limit}, "", problems, "mm", table)
        assert k.take(key.name) == limit and problems.count == 0  # exact: the limit itself is allowed
        k.data[key.name] = limit + beyond * step
        k.take(key.name)
        assert problems.count == 1


def test_every_table_refuses_a_misspelled_key_with_the_nearest_one() -> None:
    data = all_on("mm")
    data["cutting"]["kerf_shure"] = True
    with pytest.raises(JobError, match="kerf_sure") as caught:
        job_from(data, Path("job.toml"))
    assert "cutting.kerf_shure" in str(caught.value.where)


def test_a_key_that_is_not_declared_cannot_be_asked_for() -> None:
    k = Keys({"thick": 3}, "plate", Problems("job.toml"), "mm", JOB["plate"])
    for ask in (k.has, k.take):
        with pytest.raises(KeyError, match="thick"):
            ask("thick")
