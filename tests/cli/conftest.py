"""The command line called in this process: exit code, standard output and standard error."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from cutplan.cli.main import main

ROOT = Path(__file__).parents[2]


class Called(NamedTuple):
    """How a call ended."""

    code: int
    out: str
    err: str


@pytest.fixture
def call(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Called]:
    """Call cutplan with arguments, in an empty folder, with no shop file of the user's."""
    monkeypatch.setenv("CUTPLAN_CONFIG", str(tmp_path / "config"))
    here = tmp_path / "here"
    here.mkdir()
    monkeypatch.chdir(here)

    def run(*args: object) -> Called:
        try:
            code = main([str(a) for a in args])
        except SystemExit as stop:
            code = int(stop.code or 0)
        text = capsys.readouterr()
        return Called(code, text.out, text.err)

    return run


@pytest.fixture
def samples() -> Path:
    """The folder of the sample jobs."""
    return ROOT / "sample_parts"
