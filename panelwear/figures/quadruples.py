"""Zone and reference read in turn (Z R R Z): the readings of each, colour by colour, gathered once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from groundwork.once import once
from panelwear.figures.evidence import Evidence
from panelwear.figures.means import Mean
from panelwear.figures.pick import level_words
from sequences.keys import PairKey, PatchKey


@dataclass(frozen=True, slots=True, eq=False)
class Quadruple:
    """One colour of one zone: its own readings and its reference's, equally many of each."""

    zone: str
    hue: str
    level: str
    own: tuple[Mean, ...]
    other: tuple[Mean, ...]

    @property
    def key(self) -> tuple[str, str]:
        """Hue and level."""
        return (self.hue, self.level)

    @property
    def name(self) -> str:
        """Stem of the names of its figures."""
        return f"zone/{self.zone}/{self.hue}/{self.level}"

    @property
    def said(self) -> str:
        """The colour in words."""
        return f"{self.zone}: {self.hue} at {level_words(self.level)}"

    @property
    def has_strips(self) -> bool:
        """Whether lit strips on either side of the zone stand for its reference."""
        return self.own[0].pattern == "strip" and self.own[0].place == self.other[0].place

    @property
    def reference_cd_m2(self) -> float:
        """Luminance of the reference."""
        return float(np.mean([m.Y for m in self.other]))


def quadruples(evidence: Evidence) -> dict[str, tuple[Quadruple, ...]]:
    """Gather each zone's readings (positions 1 and 4) and its reference's (2 and 3), colour by colour.

    Colours too dark for the probe are left out; half a quadruple still counts, only with its drift. They are gathered
    once for one evidence.
    """
    return once(evidence.memo, "quadruples", lambda: _gathered(evidence))


def _gathered(evidence: Evidence) -> dict[str, tuple[Quadruple, ...]]:
    if not evidence.zone_means:
        evidence.zone_means.update(_zone_means(evidence))
    found: dict[str, list[Quadruple]] = {}
    for (zone, hue, level), means in evidence.zone_means.items():
        own = tuple(mean for key, mean in means.items() if key.is_own)
        other = tuple(mean for key, mean in means.items() if not key.is_own)
        if own and len(own) == len(other) and not any(evidence.is_dark(m) for m in own + other):
            found.setdefault(zone, []).append(Quadruple(zone, hue, level, own, other))
    return {zone: tuple(listed) for zone, listed in found.items()}


def _zone_means(evidence: Evidence) -> dict[tuple[str, str, str], dict[PairKey, Mean]]:
    table = evidence.table
    rows: dict[tuple[str, str, str], dict[PairKey, list[NDArray[np.intp]]]] = {}
    in_pairs = np.flatnonzero(table.pair != "")
    for alike in table.pair[in_pairs].beside(table.patch[in_pairs], "\n").groups():
        mine = in_pairs[alike]
        key, patch = PairKey.parse(table.pair[mine[0]]), PatchKey.parse(table.patch[mine[0]])
        if key is not None:
            rows.setdefault((key.zone, patch.hue, patch.level), {}).setdefault(key, []).append(mine)
    listed = [
        (colour, key, np.sort(np.concatenate(by_key[key]))) for colour, by_key in rows.items() for key in sorted(by_key)
    ]
    found: dict[tuple[str, str, str], dict[PairKey, Mean]] = {}
    for (colour, key, _), mean in zip(listed, evidence.means_of_rows([own for _, _, own in listed]), strict=True):
        found.setdefault(colour, {})[key] = mean
    return found


@dataclass(frozen=True, slots=True)
class Uneven:
    """A zone, or some colours of it, with other numbers of placements on it and on its reference."""

    zone: str
    colours: tuple[str, ...]
    """Hue and level of each."""
    own: int
    other: int
    """Placements on the zone and on its reference that hold usable readings, of the first colour."""
    whole: bool
    """Whether no colour of the zone has as many of each."""


def uneven(evidence: Evidence) -> tuple[Uneven, ...]:
    """Tell which zones lost placements, so that no contrast is made of some or all of their colours."""
    even = quadruples(evidence)
    found: dict[str, list[tuple[str, int, int]]] = {}
    for (zone, hue, level), means in evidence.zone_means.items():
        own = sum(key.is_own for key in means)
        if own != len(means) - own:
            found.setdefault(zone, []).append((f"{hue} at {level_words(level)}", own, len(means) - own))
    return tuple(
        Uneven(zone, tuple(colour for colour, _, _ in listed), *listed[0][1:], zone not in even)
        for zone, listed in found.items()
    )
