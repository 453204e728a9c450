"""How much of a checkpoint was read in a way that costs comparability, by the flags of its readings."""

from __future__ import annotations

from collections.abc import Mapping

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


def shares_of(table: ReadingTable) -> dict[str, float]:
    """Return which share of the readings that make figures carries each flag of ``COSTS``; 0 is left out."""
    rows = table.usable()
    rows = rows.where(~np.isin(rows.purpose, SIDE_PURPOSES))
    listed = [flags.split() for flags in rows.flags.tolist()]
    counts = {flag: sum(flag in mine for mine in listed) for flag in COSTS}
    return {flag: count / len(listed) for flag, count in counts.items() if count}


def share_in_words(share: float) -> str:
    """Say a share of readings."""
    return f"{share:.0%}".replace("%", " %") if share >= 0.01 else "under 1 %"
