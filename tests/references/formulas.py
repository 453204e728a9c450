"""Published formulas that no command needs, written down as references to hold our own results against."""

from __future__ import annotations


def normalised_error(difference: float, u: float) -> float:
    """Return E_n, the difference over U = 2 u, without sign; above 1 the difference is real (ISO/IEC 17043)."""
    return abs(difference) / (2 * u)


def sticking(zone_then: float, zone_now: float, reference_then: float, reference_now: float) -> float:
    """Return how much more a zone lost than its reference, 1 - (zone now / then) / (reference now / then)."""
    return 1 - (zone_now / zone_then) / (reference_now / reference_then)
