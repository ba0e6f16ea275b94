"""Even steps from 0 to 1, asked for over and over with the same few counts."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray


@lru_cache(maxsize=256)
def even_steps(count: int) -> NDArray[np.float64]:
    """Return even steps (count,) from 0 to 1, both ends among them; one array for all who ask, not to be written to."""
    steps = np.linspace(0.0, 1.0, count)
    steps.setflags(write=False)
    return steps
