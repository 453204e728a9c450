"""A column of a CSV piece by piece: what the readers by columns give, and what is put together of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Words = dict[str, dict[str, int]]
"""By column of text: each text seen so far and its number, from 0 in the order they were met."""


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """The next rows of a column."""

    values: NDArray[Any]
    """Numbers, ``nan`` where a real one is missing; of a text its number; of a moment its seconds since 1970."""
    missing: NDArray[np.bool_] | None = None
    """Which numbers are missing; ``None`` where none is."""
