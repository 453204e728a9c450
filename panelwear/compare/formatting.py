"""Verdicts and hours in words."""

from __future__ import annotations

import math

from panelwear.compare.verdict import Judged
from panelwear.uncertainty.formatting import up_to

SINCE = {"baseline": "Since the baseline", "last": "Since last time", "chosen": "Between the two"}
"""Between which checkpoints a pair is, to begin a heading with."""


def verdict(judged: Judged, unit: str) -> str:
    """Return the verdict as it is printed: never "no change" without how large a change is ruled out."""
    if judged.verdict == "no change larger than":
        return f"no change larger than {up_to(judged.bound, unit)}"
    if is_too_little(judged):
        return f"changed, too little to matter (under {up_to(judged.worth, unit)})"
    if judged.verdict == "undecided" and not judged.why and math.isfinite(judged.bound):
        return f"undecided (up to {up_to(judged.bound, unit)} possible)"
    return str(judged.verdict)


def is_too_little(judged: Judged) -> bool:
    """Tell whether a figure changed, but by less than what is worth knowing of."""
    return judged.verdict == "changed" and judged.bound <= judged.worth


def hours(value: float) -> str:
    """Return hours as "4400 h"."""
    return f"{value:g} h"
