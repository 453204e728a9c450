"""How much of a checkpoint was read in a way that costs comparability, by the flags of its readings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from panelwear.figures.session import SIDE_PURPOSES
from panelwear.table import ReadingTable

COSTS: Mapping[str, tuple[str, str]] = {
    "not-settled": (
        "the panel was not yet steady",
        "absolute luminance and white point carry what was left of the warm-up, which no stated uncertainty holds; "
        "zones against their references, read side by side, hardly do",
    ),
    "limiter": (
        "the panel dimmed while patches stood",
        "those luminances (as a rule large or bright patches) are the limiter's, and so are peak, loading and contrast "
        "made of them; small windows compare",
    ),
    "scaled": (
        "the pixels shown were not the panel's own",
        "checkerboards, fine patterns and levels between two codes show other light than wanted; even fields in whole "
        "codes compare",
    ),
}
"""Flag → what was so, and what that does to a comparison."""


FEW_SHARE = 0.01
"""A flag on fewer of the readings than this is told, but it does not belong into a verdict."""
NAMED = 2
"""So many patches are named; more are not."""


@dataclass(frozen=True, slots=True)
class Flagged:
    """Readings of a checkpoint with one flag."""

    share: float
    """Of the readings that make figures."""
    patches: tuple[str, ...] = ()
    """Keys of their patches."""

    @property
    def words(self) -> str:
        """Say how many they are, and which where they are few."""
        share = f"{self.share:.0%}".replace("%", " %") if self.share >= FEW_SHARE else "under 1 %"
        named = f": {', '.join(self.patches)}" if 0 < len(self.patches) <= NAMED else ""
        return f"{share} of the readings{named}"


def flagged_of(table: ReadingTable) -> dict[str, Flagged]:
    """Return the flags of ``COSTS`` that the readings which make figures carry; those on none are left out."""
    rows = table.usable()
    rows = rows.where(~np.isin(rows.purpose, SIDE_PURPOSES))
    listed = list(zip(rows.patch.tolist(), (flags.split() for flags in rows.flags.tolist()), strict=True))
    found = {flag: [patch for patch, mine in listed if flag in mine] for flag in COSTS}
    return {
        flag: Flagged(len(patches) / len(listed), tuple(dict.fromkeys(patches)))
        for flag, patches in found.items()
        if patches
    }
