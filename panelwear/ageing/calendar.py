"""Hours of use as days and months on the calendar."""

from __future__ import annotations

from dataclasses import dataclass

DAYS_A_MONTH = 30.436875
"""Mean Gregorian month: 365.2425 days over 12. A 30-day month would make 14.78 months 15."""


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of calendar."""

    days: float
    months: float

    @property
    def words(self) -> str:
        """Return "450 days (14.8 months)"."""
        return f"{self.days:.0f} days ({self.months:.1f} months)"


def calendar_of(hours: float, hours_a_day: float = 8.0, days_a_week: float = 7.0) -> Span:
    """Return how long hours of use take.

    Args:
        hours: of use.
        hours_a_day: on each day of use, above 0 up to 24.
        days_a_week: days of use in a week, above 0 up to 7.
    """
    if not (0 < hours_a_day <= 24 and 0 < days_a_week <= 7):
        raise ValueError(f"{hours_a_day:g} h a day on {days_a_week:g} days a week is no pattern of use")
    days = hours / hours_a_day * 7 / days_a_week
    return Span(days, days / DAYS_A_MONTH)
