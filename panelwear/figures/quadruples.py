"""Zone and reference read in turn (Z R R Z): the readings of each, colour by colour, gathered once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from panelwear.figures.evidence import Evidence
from panelwear.figures.means import Mean


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
    def reference_cd_m2(self) -> float:
        """Luminance of the reference."""
        return float(np.mean([m.Y for m in self.other]))


def quadruples(evidence: Evidence) -> dict[str, tuple[Quadruple, ...]]:
    """Gather each zone's readings (positions 1 and 4) and its reference's (2 and 3), colour by colour.

    Colours too dark for the probe are left out; half a quadruple still counts, only with its drift. They are gathered
    once for one evidence.
    """
    if "quadruples" not in evidence.memo:
        evidence.memo["quadruples"] = _gathered(evidence)
    found: dict[str, tuple[Quadruple, ...]] = evidence.memo["quadruples"]
    return found


def _gathered(evidence: Evidence) -> dict[str, tuple[Quadruple, ...]]:
    table = evidence.table
    seats: dict[tuple[str, str, str], dict[str, list[int]]] = {}
    for i in np.flatnonzero(table.pair != ""):
        zone, _, position = str(table.pair[i]).rpartition(".")
        _, _, hue, level, _ = (*str(table.patch[i]).split("/", 4), "", "", "", "", "")[:5]
        seats.setdefault((zone, hue, level), {}).setdefault(position, []).append(int(i))
    found: dict[str, list[Quadruple]] = {}
    for (zone, hue, level), by_position in seats.items():
        means = {p: evidence.mean_of_rows(np.isin(np.arange(len(table)), rows)) for p, rows in by_position.items()}
        own = tuple(means[p] for p in ("1", "4") if p in means)
        other = tuple(means[p] for p in ("2", "3") if p in means)
        if own and len(own) == len(other) and not any(evidence.is_dark(m) for m in own + other):
            found.setdefault(zone, []).append(Quadruple(zone, hue, level, own, other))
    return {zone: tuple(listed) for zone, listed in found.items()}
