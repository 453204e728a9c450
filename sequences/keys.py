"""What names a patch, a seat in a zone's quadruple and a place in files: parsed and printed here alone."""

from __future__ import annotations

import re
from dataclasses import dataclass

CENTRE = "centre"
GRID_POINT = re.compile(r"x(\d{1,4})y(\d{1,4})")
"""A place by thousandths of width and height, such as ``x100y900``."""


@dataclass(frozen=True, slots=True)
class PatchKey:
    """What makes a patch the same patch at every checkpoint: ``group/place/hue/level/geometry``."""

    group: str
    place: str = ""
    hue: str = ""
    level: str = ""
    geometry: str = ""

    @classmethod
    def parse(cls, text: str) -> PatchKey:
        """Read a key; parts that a key made elsewhere lacks are empty."""
        return cls(*text.split("/", 4))

    def __str__(self) -> str:
        return f"{self.group}/{self.place}/{self.hue}/{self.level}/{self.geometry}"


@dataclass(frozen=True, slots=True, order=True)
class PairKey:
    """Where in a zone's quadruple Z R R Z a patch is read: ``zone.position``."""

    zone: str
    position: int
    """1 and 4: the zone; 2 and 3: its reference."""

    @classmethod
    def parse(cls, text: str) -> PairKey | None:
        """Read a seat; ``None`` of a patch that is in no quadruple."""
        zone, _, position = text.rpartition(".")
        return cls(zone, int(position)) if zone and position.isdigit() else None

    def __str__(self) -> str:
        return f"{self.zone}.{self.position}"

    @property
    def is_own(self) -> bool:
        """Whether the zone itself is read, not its reference."""
        return self.position in (1, 4)


MIDDLE = (500, 500)


def thousandths(place: str) -> tuple[int, int] | None:
    """Return where the centre or a grid point lies, in thousandths of width and height; ``None`` of a zone's name."""
    if place == CENTRE:
        return MIDDLE
    point = GRID_POINT.fullmatch(place)
    return (int(point[1]), int(point[2])) if point else None
