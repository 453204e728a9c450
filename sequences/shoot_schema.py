"""What a shooting list may say: one frozen dataclass a table. ``docs/photographs.md`` has its keys."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Literal

from groundwork.tables import chosen, limits

Fault = tuple[str, str]
MOST_FIELDS = 60
"""Their names fit into a QR code whose modules are still read from a photograph."""
FRAMES = {"dots": 2, "stairs": 2}
"""Of shots whose noise matters little; of all others the list's own ``frames``."""
_WORD = re.compile(r"[a-z0-9][a-z0-9-]*\Z")


@dataclass(frozen=True, slots=True, kw_only=True)
class Shots:
    """What every ``[[shots]]`` table may say."""

    frames: int | None = field(default=None, metadata=limits(low=1, high=200))


@dataclass(frozen=True, slots=True, kw_only=True)
class Dots(Shots):
    """The grid of dots: at the beginning, at the end, and in every other pose."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stairs(Shots):
    """The grey staircase."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Black(Shots):
    """The black field."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fields(Shots):
    """Fields of one or several hues at one or several levels."""

    hues: tuple[Literal["grey", "red", "green", "blue"], ...] = ("grey",)
    codes: tuple[float, ...] = field(metadata=limits(low=1, high=255))
    cd_m2: tuple[float, ...] | None = field(default=None, metadata=limits(above=0, high=10_000))
    """Shown where the panel's response is known; ``codes`` are shown else, one for each."""
    in_poses: bool = False
    """Photographed in the other poses too."""

    def faults(self) -> Iterator[Fault]:
        """Say when a luminance has no drive level to stand in for it."""
        if self.cd_m2 is not None and len(self.codes) != len(self.cd_m2):
            stand_in = f"{len(self.codes)} drive levels for {len(self.cd_m2)} luminances"
            yield "codes", f"{stand_in}; give one for each, shown where the panel's response is not known"


@dataclass(frozen=True, slots=True, kw_only=True)
class EvenSurface(Shots):
    """A photograph of an even surface, for which nothing stands on the screen."""


SHOT_GROUPS: dict[str, type[Shots]] = {
    "dots": Dots,
    "stairs": Stairs,
    "black": Black,
    "fields": Fields,
    "even-surface": EvenSurface,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ShootList:
    """A whole shooting list."""

    name: str
    description: str
    f_number: float = field(default=8.0, metadata=limits(low=0.7, high=64))
    iso: float = field(default=100.0, metadata=limits(low=6, high=100_000))
    frames: int = field(default=8, metadata=limits(low=1, high=200))
    shots: tuple[Shots, ...] = chosen("kind", SHOT_GROUPS)

    @property
    def fields(self) -> tuple[tuple[str, float], ...]:
        """Hue and level of every field; luminances where it gives any."""
        groups = [one for one in self.shots if isinstance(one, Fields)]
        return tuple((hue, level) for one in groups for level in one.cd_m2 or one.codes for hue in one.hues)

    def faults(self) -> Iterator[Fault]:
        """Say when the file does not say what it is, or no map can come of it."""
        if not _WORD.match(self.name):
            yield "name", f"'{self.name}' must be a word of small letters, digits and hyphens"
        if not self.description.strip():
            yield "description", "is empty; say in one sentence what the list is for"
        kinds = [type(one) for one in self.shots]
        if Dots not in kinds:
            yield "shots", "has none of kind dots; without them nothing tells where on the panel a photograph looks"
        if Fields not in kinds:
            yield "shots", "has none of kind fields; there is nothing a map could be made of"
        for kind, cls in SHOT_GROUPS.items():
            if cls is not Fields and kinds.count(cls) > 1:
                yield "shots", f"has {kinds.count(cls)} of kind {kind}; one is allowed"
        if len(self.fields) > MOST_FIELDS:
            yield (
                "shots",
                f"has {len(self.fields)} fields; {MOST_FIELDS} is the most, as the title card names all of them",
            )
        for hue, level in sorted({one for one in self.fields if self.fields.count(one) > 1}):
            yield "shots", f"has {hue} at {level:g} twice; each field may stand once"
