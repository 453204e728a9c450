"""Which cells a zone is compared with: those of its reference beside it, else of its surround."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.wear.cells import NOBODY, Owners, grown, shrunk
from sequences.model import Zone

Mask = NDArray[np.bool_]

MARGIN_CELLS = 2
"""Cells at each side of a border that are left out: there the lens blurs one side into the other."""
LEAST_REACH, MOST_REACH = 8, 40
"""How far from a zone its surround reaches, in cells: half the zone's shorter side within these."""
LEAST_SHARE = 0.5
"""A strip beside a zone counts where it holds at least this share of the zone's own cells, or enough to be sure."""
ENOUGH_CELLS = 200


@dataclass(frozen=True, slots=True, eq=False)
class Surround:
    """Cells of a zone and cells to compare them with."""

    inside: Mask
    around: Mask
    against: str
    """``reference``: beside the zone; ``surround``: no zone's cells, as the reference is far; ``far reference``."""

    def said(self, reference: str) -> str:
        """Say against what the contrast is."""
        if self.against == "surround":
            return f"its surround ('{reference}' is far)" if reference else "its surround"
        return f"'{reference}' beside it" if self.against == "reference" else f"'{reference}', which is far"


def surround_of(zone: int, zones: Sequence[Zone], owner: Owners) -> Surround | None:
    """Choose the cells of a zone and those it is compared with; ``None`` where the map has no cell of the zone.

    Args:
        zone: its number.
        zones: all of the panel.
        owner: of each cell.
    """
    mine = owner == zone
    if not mine.any():
        return None
    names = {one.name: number for number, one in enumerate(zones)}
    reference = names.get(zones[zone].reference, NOBODY)
    inside = shrunk(mine, MARGIN_CELLS)
    beside = ring(mine)
    wanted = min(ENOUGH_CELLS, max(LEAST_REACH, LEAST_SHARE * float(inside.sum())))
    choices = (("reference", beside & _clear(owner == reference)), ("surround", beside & _clear(owner == NOBODY)))
    for against, around in choices if reference != NOBODY else choices[1:]:
        if around.sum() >= wanted:
            return Surround(inside, around, against)
    if reference == NOBODY:
        return None
    return Surround(inside, _clear(owner == reference), "far reference")


def ring(mine: Mask) -> Mask:
    """Return the strips on all sides of some cells, at equal distance, as wide as half their shorter side."""
    rows, columns = (np.flatnonzero(mine.any(axis)) for axis in (1, 0))
    shorter = min(int(np.ptp(rows)), int(np.ptp(columns))) + 1
    reach = int(np.clip(shorter // 2, LEAST_REACH, MOST_REACH))
    return grown(mine, MARGIN_CELLS + reach) & ~grown(mine, MARGIN_CELLS)


def _clear(cells: Mask) -> Mask:
    """Leave out what lies too near to other zones."""
    left = cells & ~grown(~cells, MARGIN_CELLS)
    return left if left.any() else cells
