"""One thread for small matrices, as in the plan itself."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from threadpoolctl import threadpool_limits


@pytest.fixture(autouse=True, scope="session")
def _one_thread() -> Iterator[None]:
    with threadpool_limits(limits=1):
        yield
