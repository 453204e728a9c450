"""How somebody uses a panel: ``8h/day``, ``8h x 5d/week``, ``24/7``, ``half my hours``, ``half my brightness``, ...

Hours say how fast hours of use pass on the calendar. Brightness and bright content say how fast an hour wears:

- luminance L wears as L^n, n = 1.7, 1.4 to 2.0 where it is not known for this panel (published exponents 1.2 to 2.0):
  half the brightness wears 0.31 (0.25 to 0.38) of it;
- bright content shown for a share s of the time wears s of it where black stands in its place, and
  s + (1 - s) w^n where grey of code 128 does, w = (128 / 255)^2.2 (IEC 61966-2-1's curve nearly).
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass, replace

from panelwear.ageing.dose import EXPONENTS, dose_rate
from panelwear.errors import UsageError
from panelwear.telling.words import percent

GREY_OF_WHITE = (128 / 255) ** 2.2
"""Luminance of what may stand in the place of bright content."""
EXAMPLES = "8h/day, 8h x 5d/week, 24/7, half my hours, half my brightness, half the bright content"

_NUMBER = r"([-\u2212]?\d+(?:[.,]\d+)?)"
_HOURS, _EACH = rf"{_NUMBER} ?(?:h|hours?)", r" ?(?:/|a |per ) ?"
_A_DAY = re.compile(rf"{_HOURS}{_EACH}(?:d|day)")
_A_WEEK = re.compile(rf"{_HOURS}(?:{_EACH}(?:d|day))? ?(?:x|×|on) ?{_NUMBER} ?(?:d|days?){_EACH}(?:w|week)")
_SHARE = re.compile(r"(.+?) (?:of )?(my hours|my brightness|the bright content|my bright content)")
_WORDS = {
    "half": 0.5, "a half": 0.5, "a third": 1 / 3, "third": 1 / 3, "two thirds": 2 / 3,
    "a quarter": 0.25, "quarter": 0.25, "three quarters": 0.75, "twice": 2.0, "double": 2.0,
}  # fmt: skip
_PERCENT = re.compile(rf"{_NUMBER} ?%")
MOST_TIMES, LEAST_SHARE = 20.0, 0.01
"""Of this panel's own hours, brightness or bright content: beyond them nobody uses a panel of this kind."""
LEAST_HOURS, LEAST_DAYS = 0.1, 0.1
"""On a day of use, and days of use in a week."""


@dataclass(frozen=True, slots=True)
class Rate:
    """How fast an hour of use wears, beside an hour of this panel's own."""

    low: float = 1.0
    likely: float = 1.0
    high: float = 1.0

    def times(self, other: Rate) -> Rate:
        """Return both together."""
        return Rate(self.low * other.low, self.likely * other.likely, self.high * other.high)


@dataclass(frozen=True, slots=True)
class Use:
    """How somebody uses a panel."""

    name: str
    hours_a_day: float | None = None
    """On each day of use; ``None``: as this panel."""
    days_a_week: float = 7.0
    of_my_hours: float = 1.0
    rate: Rate = Rate()

    def pace(self, own_h_a_day: float) -> float:
        """Return hours a day, averaged over the calendar; ``nan`` where this panel's own is needed and not known."""
        if self.hours_a_day is None:
            return own_h_a_day * self.of_my_hours
        return self.hours_a_day * self.days_a_week / 7


OWN = Use("this panel's own")


def of_brightness(share: float) -> Rate:
    """Return how fast a panel wears at a share of the brightness."""
    ends = sorted(float(dose_rate(share, n)) for n in EXPONENTS)
    return Rate(ends[0], float(dose_rate(share)), ends[-1])


def of_bright_content(share: float) -> Rate:
    """Return how fast a panel wears that shows bright content for a share of the time it does."""
    wears = sorted([share, *(share + (1 - share) * float(dose_rate(GREY_OF_WHITE, n)) for n in EXPONENTS)])
    return Rate(wears[0], share + (1 - share) * float(dose_rate(GREY_OF_WHITE)), wears[-1])


def use_of(said: str) -> Use:
    """Read a way of using a panel; several terms stand between commas, ``and`` or ``+``.

    Raises:
        UsageError: a term is none, two say something of one thing, or nobody uses a panel so much or so little.
    """
    found = Use(said.strip())
    terms = [one.strip() for one in re.split(r"(?<!\d),|,(?!\d)|;|\+| and ", said.lower()) if one.strip()]
    if not terms:
        raise UsageError(f"--use '{said}': say how it is used: {EXAMPLES}")
    about: dict[str, str] = {}
    for term in terms:
        what = _about(term)
        if what in about:
            raise UsageError(f"--use '{said}': '{about[what]}' and '{term}' both say {what}; one of them has to go")
        about |= {what: term} if what else {}
    for term in terms:
        found = _with(found, term, said)
    return found


def _about(term: str) -> str:
    """Return what a term says something of; empty for one that is no way of using a panel."""
    if _hours(term):
        return "hours"
    match = _SHARE.fullmatch(term)
    return {"content": "bright content"}.get(word := match[2].split()[-1], word) if match else ""


def _hours(term: str) -> tuple[float, float] | None:
    """Return hours a day and days a week of a term that says them."""
    if term == "24/7":
        return 24.0, 7.0
    if match := _A_WEEK.fullmatch(term):
        return _number(match[1]), _number(match[2])
    if match := _A_DAY.fullmatch(term):
        return _number(match[1]), 7.0
    return None


def _with(use: Use, term: str, said: str) -> Use:
    if hours := _hours(term):
        if not (LEAST_HOURS <= hours[0] <= 24 and LEAST_DAYS <= hours[1] <= 7):
            raise UsageError(
                f"--use '{said}': a day of use has {LEAST_HOURS:g} to 24 h, a week {LEAST_DAYS:g} to 7 days of use"
            )
        return replace(use, hours_a_day=hours[0], days_a_week=hours[1])
    match = _SHARE.fullmatch(term)
    share = _share(match[1]) if match else math.nan
    if match is None or math.isnan(share):
        raise UsageError(f"--use '{said}': '{term}' is no way of using a panel; there are {EXAMPLES}")
    what = match[2].split()[-1]
    if not LEAST_SHARE <= share <= (1.0 if what == "content" else MOST_TIMES):
        raise UsageError(
            f"--use '{said}': '{match[1]}' has to be {percent(LEAST_SHARE)} at least and {_MOST[what]} at most"
        )
    return _OF[what](use, share)


_MOST = {"hours": f"{MOST_TIMES:g} times", "brightness": f"{MOST_TIMES:g} times", "content": "all of it"}
_OF: dict[str, Callable[[Use, float], Use]] = {
    "hours": lambda use, share: replace(use, of_my_hours=use.of_my_hours * share),
    "brightness": lambda use, share: replace(use, rate=use.rate.times(of_brightness(share))),
    "content": lambda use, share: replace(use, rate=use.rate.times(of_bright_content(share))),
}


def _share(words: str) -> float:
    if words in _WORDS:
        return _WORDS[words]
    match = _PERCENT.fullmatch(words)
    return _number(match[1]) / 100 if match else math.nan


def _number(text: str) -> float:
    return float(text.replace(",", ".").replace("\u2212", "-"))
