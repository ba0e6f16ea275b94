"""The sample's photographs, traced once in a run of the tests."""

from __future__ import annotations

import pytest
from made_once import made_once
from rig.sample import KNOWN, PHOTOS

from cutplan.project.trace import Found, Request, find


@pytest.fixture(scope="session")
def found() -> Found:
    """What the four photographs of the sample show."""
    return made_once("the sample's photographs, traced", lambda: find(Request(PHOTOS, 2.5, KNOWN)))
