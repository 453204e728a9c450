"""What the engine writes to."""

from __future__ import annotations

from typing import Protocol

from panelwear.readings.row import Row


class Journal(Protocol):
    """Where rows go; each is on the disk before ``append`` returns."""

    def append(self, row: Row) -> None:
        """Store one row."""
        ...
