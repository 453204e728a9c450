"""How much of a checkpoint was read in a way that costs comparability, by the flags of its readings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from panelwear.figures.means import SIDE_PURPOSES
from panelwear.readings.labels import Labels
from panelwear.readings.table import ReadingTable
from panelwear.telling.words import whole_percent

COSTS: Mapping[str, tuple[str, str]] = {
    "not-settled": (
        "the panel was not yet steady",
        "absolute luminance, white point and channels against each other carry what was left of the warm-up (blue "
        "warms up differently from red), which no stated uncertainty holds; "
        "zones against their references, read side by side, hardly do",
    ),
    "not-settled/zone": (
        "the panel was not yet steady under zone patches",
        "zones against their references, read side by side, hardly carry it; luminance and white point are not touched",
    ),
    "not-settled/grid": (
        "the panel was not yet steady under grid patches",
        "evenness may carry what was left of the warm-up; luminance, white point and zones are not touched",
    ),
    "limiter": (
        "the panel dimmed while patches stood",
        "those luminances (as a rule large or bright patches) are the limiter's, and so are peak, loading and contrast "
        "made of them; small windows compare",
    ),
    "limiter/zone": (
        "the panel dimmed while zone patches stood",
        "zones against their references carry it as far as zone and reference were dimmed unlike; peak, loading and "
        "contrast are not touched",
    ),
    "limiter/grid": (
        "the panel dimmed while grid patches stood",
        "evenness carries it as far as its points were dimmed unlike; peak, loading, contrast and zones are not "
        "touched",
    ),
    "limiter/reference": (
        "the panel dimmed while the reference patch stood",
        "drift is fitted through this patch and taken out of every reading, so every figure may carry it",
    ),
    "limiter/levels": (
        "the panel dimmed while patches below peak stood",
        "those luminances are the limiter's, and so are gamma, channels and additivity made of them; peak, loading, "
        "contrast and zones are not touched",
    ),
    "scaled": (
        "the pixels shown were not the panel's own",
        "checkerboards, fine patterns and levels between two codes show other light than wanted; even fields in whole "
        "codes compare",
    ),
}
"""Flag, or flag and the only group of patches that carry it → what was so, and what that does to a comparison."""

OF_PEAK = ("loading", "checkerboard", "near-black", "black")
"""Peak, loading and contrast are made of these, and of white at full drive."""
KINDS = ("zone", "grid", "reference", "peak", "levels")
"""What a reading is there for."""
FULL_CODE = 255.0
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
        share = whole_percent(self.share) if self.share >= FEW_SHARE else "under 1 %"
        named = f": {', '.join(self.patches)}" if 0 < len(self.patches) <= NAMED else ""
        return f"{share} of the readings{named}"


def flagged_of(table: ReadingTable) -> dict[str, Flagged]:
    """Return the flags of ``COSTS`` that the readings which make figures carry; those on none are left out.

    Where no reading that the widest cost of a flag is about carries it, it is told by the groups that do.
    """
    rows = table.usable()
    rows = rows.where(~rows.purpose.isin(SIDE_PURPOSES))
    kinds, flags = _groups(rows), rows.flags.there()
    found: dict[str, NDArray[np.bool_]] = {}
    for flag in dict.fromkeys(key.partition("/")[0] for key in COSTS):
        mine = rows.flags.isin([text for text in flags if flag in text.split()])
        keys = kinds[mine].named(partial(_key, flag)).there()
        for key in (flag,) if flag in keys else keys:
            found[key] = mine if flag in keys else mine & kinds.isin([k for k in kinds.words if _key(flag, k) == key])
    return {
        key: Flagged(int(found[key].sum()) / len(rows), tuple(rows.patch[found[key]].there()))
        for key in COSTS
        if key in found
    }


def _key(flag: str, kind: str) -> str:
    return f"{flag}/{kind}" if f"{flag}/{kind}" in COSTS else flag


def _groups(rows: ReadingTable) -> Labels:
    """Return what each reading is there for: ``zone``, ``grid``, ``reference``, ``peak`` or other ``levels``."""
    full = np.logical_and.reduce([rows.red == FULL_CODE, rows.green == FULL_CODE, rows.blue == FULL_CODE])
    peak = np.logical_or(rows.purpose.isin(OF_PEAK), full)
    kinds = np.where(peak, 3, 4)
    for number, purpose in enumerate(KINDS[:3]):
        kinds[rows.purpose == purpose] = number
    return Labels(kinds.astype(np.uint8), KINDS)
