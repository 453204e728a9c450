"""Numbers as a reader sees them: rounded to their uncertainty, with a true minus sign and a unit."""

from __future__ import annotations

import math

from panelwear.report.content import ChartPoint
from panelwear.uncertainty.coverage import interval
from panelwear.uncertainty.estimate import Estimate
from panelwear.uncertainty.formatting import MINUS, NONE, or_reason, with_uncertainty


def minus(text: str) -> str:
    """Set a minus sign in place of a hyphen that stands before a digit."""
    return "".join(
        MINUS if c == "-" and text[i + 1 : i + 2].isdigit() and (i == 0 or text[i - 1] in " (<>[") else c
        for i, c in enumerate(text)
    )


def told(estimate: Estimate | None) -> str:
    """Return "312.4 ± 3.1 cd/m²", ± at 95 %; a dash, with the reason if there is one, where there is no value."""
    return NONE if estimate is None else or_reason(estimate)


def signed(estimate: Estimate) -> str:
    """Return a step with its sign, also when it is upwards: "+0.42 ± 0.11 %"."""
    return with_uncertainty(estimate, signed=True) if math.isfinite(estimate.value) else told(estimate)


def parted(words: str) -> tuple[str, str]:
    """Part "410 ± 17 cd/m²" for a large number: "410 cd/m²" and "± 17 cd/m²", or nothing without an interval."""
    value, _, rest = words.partition(" ± ")
    return f"{value} {rest.partition(' ')[2]}".rstrip(), rest and f"± {rest}"


def at(x: float, estimate: Estimate, words: str = "") -> ChartPoint:
    """Make a chart's point of an estimate; a bound has one open end."""
    low, high = interval(estimate) if math.isfinite(estimate.value) else (math.nan, math.nan)
    return ChartPoint(x, estimate.value, low, high, words or told(estimate))
