"""Numbers as a reader sees them: rounded to their uncertainty, with a true minus sign and a unit."""

from __future__ import annotations

import math

from panelwear.figures.tables import told as plain_told
from panelwear.report.content import Point
from panelwear.uncertainty.coverage import interval
from panelwear.uncertainty.estimate import Estimate

NONE = "—"


def minus(text: str) -> str:
    """Set a minus sign in place of a hyphen that stands before a digit."""
    return "".join(
        "\u2212" if c == "-" and text[i + 1 : i + 2].isdigit() and (i == 0 or text[i - 1] in " (<>[") else c
        for i, c in enumerate(text)
    )


def told(estimate: Estimate | None) -> str:
    """Return "312.4 ± 3.1 cd/m²", ± at 95 %; a dash where there is none."""
    return NONE if estimate is None else minus(plain_told(estimate))


def signed(estimate: Estimate) -> str:
    """Return a step with its sign, also when it is upwards: "+0.42 ± 0.11 %"."""
    words = told(estimate)
    return f"+{words}" if estimate.value > 0 and words[:1].isdigit() else words


def at(x: float, estimate: Estimate, words: str = "") -> Point:
    """Make a chart's point of an estimate; a bound has one open end."""
    low, high = interval(estimate) if math.isfinite(estimate.value) else (math.nan, math.nan)
    return Point(x, estimate.value, low, high, words or told(estimate))
