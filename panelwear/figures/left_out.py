"""Which readings enter no figure, and why."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from panelwear.colorimetry.plausible import IMPOSSIBLE, possible
from panelwear.readings.table import UNUSABLE_FLAGS, ReadingTable

WORDS = {
    "disturbed": "disturbed",
    "over-range": "over the probe's range",
    "skipped": "skipped",
    IMPOSSIBLE: "impossible as light",
    "implausible": "implausible for the patch, so the probe was off it",
    "no value": "failed",
}
"""Why a reading is left out → in words."""


def left_out_of(meant: ReadingTable, dark_noise_cd_m2: float = 0.0) -> dict[str, int]:
    """Count the readings of a table that enter no figure by why, each once; reasons nobody needs are left out."""
    why = np.full(len(meant), "", dtype="<U16")
    why[~possible(meant.XYZ, dark_noise_cd_m2)] = IMPOSSIBLE
    why[np.isnan(meant.Y)] = "no value"
    for flag in UNUSABLE_FLAGS:
        why[meant.flags.contains(flag)] = flag
    return {reason: int(np.sum(why == reason)) for reason in WORDS if (why == reason).any()}


def in_words(left_out: Mapping[str, int]) -> str:
    """Say how many were left out for each reason: ``2 disturbed, 1 impossible as light``."""
    return ", ".join(f"{count} {WORDS[reason]}" for reason, count in left_out.items())
