"""Verdicts in words, and the columns of a table on a terminal."""

from __future__ import annotations

import math

from panelwear.compare.verdict import Judged
from panelwear.uncertainty.formatting import up_to


def verdict(judged: Judged, unit: str) -> str:
    """Return the verdict as it is printed: never "no change" without how large a change is ruled out."""
    if judged.verdict == "no change larger than":
        return f"no change larger than {up_to(judged.bound, unit)}"
    if is_too_little(judged):
        return f"changed, too little to matter (under {up_to(judged.worth, unit)})"
    if judged.verdict == "undecided" and not judged.why and math.isfinite(judged.bound):
        return f"undecided (up to {up_to(judged.bound, unit)})"
    return str(judged.verdict)


def is_too_little(judged: Judged) -> bool:
    """Tell whether a figure changed, but by less than what is worth knowing of."""
    return judged.verdict == "changed" and judged.bound <= judged.worth


def hours(value: float) -> str:
    """Return hours as "4400 h"."""
    return f"{value:g} h"


def aligned(rows: list[list[str]], indent: str = "  ") -> list[str]:
    """Return rows as lines of equal columns."""
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    return [
        (indent + "  ".join(cell.ljust(w) for cell, w in zip(row, widths, strict=True))).rstrip() for row in rows
    ]  # fmt: skip
