"""Every run of the tests remembers results in a folder of its own, never in the user's; all its processes share it."""

from __future__ import annotations

import gc
import os
from pathlib import Path
from shutil import rmtree
from tempfile import mkdtemp

import pytest
from made_once import FOLDER


def pytest_configure(config: pytest.Config) -> None:
    """Name the folders before anything is imported that makes results; the processes of a run inherit the names."""
    if not hasattr(config, "workerinput"):
        own = Path(mkdtemp(prefix="cutplan-tests-"))
        for name, folder in (("CUTPLAN_CACHE", own / "cache"), (FOLDER, own / "made")):
            folder.mkdir(mode=0o700)
            os.environ[name] = str(folder)


def pytest_unconfigure(config: pytest.Config) -> None:
    """Take them away with the run."""
    if not hasattr(config, "workerinput") and FOLDER in os.environ:
        rmtree(Path(os.environ.pop(FOLDER)).parent, ignore_errors=True)
        os.environ.pop("CUTPLAN_CACHE", None)


def pytest_collection_finish() -> None:
    """What was imported and collected stays to the end: the search for garbage, which took a tenth of the time, passes it by."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 20, 20)
