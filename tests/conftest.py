"""Every run of the tests remembers results in a folder of its own, never in the user's."""

from __future__ import annotations

from collections.abc import Iterator

import pytest


@pytest.fixture(scope="session", autouse=True)
def _own_cache(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("CUTPLAN_CACHE", str(tmp_path_factory.mktemp("cache")))
        yield
