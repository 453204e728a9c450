"""A value with its uncertainty as a person reads it: rounded to the uncertainty, a true minus sign, its unit."""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from panelwear.telling import words
from panelwear.uncertainty.coverage import expanded
from panelwear.uncertainty.estimate import Estimate

NONE = "—"
MINUS = words.MINUS


def rounded(value: float, step: float, signed: bool = False) -> str:
    """Return a number to the second digit of ``step``; ``signed``: with a plus where it is above 0."""
    places = 0 if step <= 0 or not math.isfinite(step) else max(0, 1 - math.floor(math.log10(step)))
    text = words.true_minus(f"{value:.{min(places, 7)}f}")
    return f"+{text}" if signed and value > 0 and text.strip("0.") else text


def unit_of(unit: str) -> str:
    """Return a unit with the space before it; a bare number has none."""
    return "" if unit in {"", "1"} else f" {unit}"


_LEVEL: ContextVar[float] = ContextVar("level", default=0.95)


@contextmanager
def stated_at(level: float) -> Iterator[None]:
    """Have every value inside stated with intervals of a level: sentences of one comparison never mix two."""
    before = _LEVEL.set(level)
    try:
        yield
    finally:
        _LEVEL.reset(before)


def with_uncertainty(estimate: Estimate, level: float | None = None, signed: bool = False) -> str:
    """Return "−3.12 ± 0.45 %": to the second digit of the expanded uncertainty.

    A bound stands with its sign, rounded to its safe side; a dash where there is nothing.
    """
    if not math.isfinite(estimate.value):
        return NONE
    unit = unit_of(estimate.unit)
    if estimate.limit:
        return f"{estimate.limit} {_bound(estimate.value, estimate.limit)}{unit}"
    U = expanded(estimate, _LEVEL.get() if level is None else level)
    if not (U > 0 and math.isfinite(U)):
        plus = "+" if signed and estimate.value > 0 else ""
        return f"{plus}{estimate.value:.5g}".replace("-", MINUS) + f"{unit} (uncertainty not known)"
    return f"{rounded(estimate.value, U, signed)} ± {rounded(U, U)}{unit}"


def or_reason(estimate: Estimate) -> str:
    """Return a value with its uncertainty, or a dash and the reason where there is none."""
    words = with_uncertainty(estimate)
    return f"{NONE} ({estimate.note})" if words == NONE and estimate.note else words


def up_to(bound: float, unit: str) -> str:
    """Return a bound, rounded up to two digits, with its unit."""
    if not math.isfinite(bound) or bound <= 0:
        return f"{NONE}{unit_of(unit)}"
    places = 1 - math.floor(math.log10(bound))
    scale = 10.0**places
    up = math.ceil(bound * scale - 1e-9) / scale
    return f"{up:.{max(places, 0)}f}{unit_of(unit)}"


def _bound(value: float, sign: str) -> str:
    """Round a bound to three digits to its safe side: upwards for ``<``, downwards for ``>``; no zeros at its end."""
    if value == 0:
        return "0"
    places = 2 - math.floor(math.log10(abs(value)))
    # 0.01 must not become 0.0101 for a crumb of binary arithmetic.
    scaled = round(value * 10.0**places, 9)
    whole = math.ceil(scaled) if sign == "<" else math.floor(scaled)
    text = f"{whole / 10.0**places:.{max(places, 0)}f}"
    return words.true_minus(text.rstrip("0").rstrip(".") if "." in text else text)
