"""Changes in words and figures for a person: units everywhere, an uncertainty with every measured number."""

from __future__ import annotations

import math

from panelwear.compare.verdict import Judged
from panelwear.uncertainty.coverage import t_factor
from panelwear.uncertainty.estimate import Estimate


def rounded(value: float, step: float, signed: bool = False) -> str:
    """Return a number to the second digit of ``step``."""
    places = 0 if step <= 0 or not math.isfinite(step) else max(0, 1 - math.floor(math.log10(step)))
    text = f"{value:{'+' if signed else ''}.{min(places, 7)}f}"
    return text.replace("-", "−")


def unit_of(unit: str) -> str:
    """Return a unit with the space before it; a bare number has none."""
    return "" if unit in {"", "1"} else f" {unit}"


def half_width(step: Estimate, level: float = 0.95) -> float:
    """Return the half width of an estimate's interval, in its unit."""
    return t_factor(step.dof, level) * step.u if step.u > 0 else 0.0


def with_uncertainty(estimate: Estimate, level: float = 0.95, signed: bool = False) -> str:
    """Return "−3.12 ± 0.45 %", a bound with its sign, or a dash where there is nothing."""
    if not math.isfinite(estimate.value):
        return "—"
    unit = unit_of(estimate.unit)
    if estimate.limit:
        return f"{estimate.limit} {rounded(estimate.value, abs(estimate.value) / 30)}{unit}"
    U = half_width(estimate, level)
    if not (U > 0 and math.isfinite(U)):
        return f"{estimate.value:{'+' if signed else ''}.4g}{unit}"
    return f"{rounded(estimate.value, U, signed)} ± {rounded(U, U)}{unit}"


def up_to(bound: float, unit: str) -> str:
    """Return a bound, rounded up to two digits, with its unit."""
    if not math.isfinite(bound) or bound <= 0:
        return f"—{unit_of(unit)}"
    places = 1 - math.floor(math.log10(bound))
    scale = 10.0**places
    up = math.ceil(bound * scale - 1e-9) / scale
    return f"{up:.{max(places, 0)}f}{unit_of(unit)}"


def verdict(judged: Judged, unit: str) -> str:
    """Return the verdict as it is printed: never "no change" without how large a change is ruled out."""
    if judged.verdict == "no change larger than":
        return f"no change larger than {up_to(judged.bound, unit)}"
    if judged.verdict == "changed" and judged.bound <= judged.worth:
        return f"changed, by less than {up_to(judged.worth, unit)}"
    if judged.verdict == "undecided" and not judged.why and math.isfinite(judged.bound):
        return f"undecided (up to {up_to(judged.bound, unit)})"
    return str(judged.verdict)


def hours(value: float) -> str:
    """Return hours as "4400 h"."""
    return f"{value:g} h"


def aligned(rows: list[list[str]], indent: str = "  ") -> list[str]:
    """Return rows as lines of equal columns."""
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    return [
        (indent + "  ".join(cell.ljust(w) for cell, w in zip(row, widths, strict=True))).rstrip() for row in rows
    ]  # fmt: skip
