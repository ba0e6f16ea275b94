"""The sample's photographs, traced once for all tests of the folder."""

from __future__ import annotations

import pytest
from rig.sample import KNOWN, PHOTOS

from cutplan.project.trace import Found, Request, find


@pytest.fixture(scope="session")
def found() -> Found:
    """What the four photographs of the sample show."""
    return find(Request(PHOTOS, 2.5, KNOWN))
