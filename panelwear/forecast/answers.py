"""Every target answered from one comparison, and what the answers are on the calendar for one use or another."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from panelwear.ageing.calendar import DAYS_A_MONTH
from panelwear.compare.comparison import Comparison
from panelwear.forecast.targets import Target, first_targets, next_contrast
from panelwear.forecast.uses import OWN, Use

LONGEST_DAY_H = 24.0
NOT_READ = "it was not read at the baseline and at the newest checkpoint"


@dataclass(frozen=True, slots=True)
class Answer:
    """What may be said about one target."""

    target: Target
    said: str
    """``refused``, ``reached`` or ``visible`` already, ``bound``, ``indicative`` or ``interval``."""
    low_h: float
    """Hours of use before which it is not reached; ``nan`` where nothing is said."""
    high_h: float
    """Hours by which it is; ``inf`` where only the lower limit may be said."""
    likely_h: float
    """By the course that fits best; ``nan`` where it is not told."""
    sentence: str

    @property
    def is_ahead(self) -> bool:
        """Whether there are hours to put on the calendar."""
        return self.said in {"bound", "indicative", "interval"}


@dataclass(frozen=True, slots=True)
class ForUse:
    """One answer for one use."""

    answer: Answer
    use: Use
    low_h: float
    """Hours of such use from new."""
    high_h: float
    low_days: float
    """Days from new; ``nan`` where the pace is not known."""
    high_days: float
    low_left_days: float
    """Days from the newest checkpoint, if this panel is used so from there on."""
    high_left_days: float

    @property
    def months(self) -> tuple[float, float]:
        """From new."""
        return self.low_days / DAYS_A_MONTH, self.high_days / DAYS_A_MONTH


@dataclass(frozen=True, slots=True)
class Foretold:
    """All answers for all uses."""

    panel: str
    begun_h: float
    """Hours of the baseline."""
    now_h: float
    """Hours of the newest checkpoint."""
    own_h_a_day: float
    """Hours of use a day between the first and the newest checkpoint; ``nan`` where dates do not tell."""
    answers: tuple[Answer, ...]
    uses: tuple[Use, ...]
    notes: tuple[str, ...] = ()
    """What must be known of the hours."""

    @property
    def rows(self) -> tuple[ForUse, ...]:
        """Every answer that lies ahead, for this panel's own use and for each of the others."""
        return tuple(self._row(one, use) for one in self.answers if one.is_ahead for use in (OWN, *self.uses))

    def _row(self, one: Answer, use: Use) -> ForUse:
        pace, rate = use.pace(self.own_h_a_day), use.rate
        low, high = one.low_h / rate.high, one.high_h / rate.low
        left = max(one.low_h - self.now_h, 0.0) / rate.high, max(one.high_h - self.now_h, 0.0) / rate.low
        return ForUse(one, use, low, high, low / pace, high / pace, left[0] / pace, left[1] / pace)


def foretold(found: Comparison, targets: Sequence[Target], uses: Sequence[Use] = (), drift_u: float = 0.0) -> Foretold:
    """Answer every target.

    Args:
        found: all checkpoints compared.
        targets: what is asked for; none: what is sensible for this panel.
        uses: of others.
        drift_u: what the probe may have drifted by since the baseline (standard uncertainty, a share of luminance).
    """
    asked = targets or sensible(found)
    own = found.hours_a_day()
    pace = own if 0 < own <= LONGEST_DAY_H else math.nan
    answers = tuple(answer(found, target, drift_u) for target in asked)
    first, last = found.checkpoints[0].hours, found.checkpoints[-1].hours
    notes = (found.hours_said,) if found.hours_said else ()
    return Foretold(found.panel, first, last, pace, answers, tuple(uses), notes)


def sensible(found: Comparison) -> tuple[Target, ...]:
    """Return what is answered where nothing is asked for."""
    if not found.pairs:
        return ()
    series = {s.name: s.points for s in found.trend}
    white = series.get("white.Y", ())
    kept = white[-1].value / white[0].value if len(white) > 1 and white[0].value > 0 else None
    zones = found.zone_forecasts()
    first = first_targets([one.zone for one in zones], kept, len(series.get("white.u_prime", ())) > 1)
    seen = {one.zone for one in zones if one.said == "visible"}
    return (*first, *(next_contrast(one.zone, one.now.value) for one in found.pairs[0].zones if one.zone in seen))


def answer(found: Comparison, target: Target, drift_u: float = 0.0) -> Answer:
    """Answer one target."""
    if target.kind == "kept":
        loss = found.forecasts(1 - target.value, drift_u).get(target.of)
        if loss is None:
            return _none(target)
        return Answer(target, loss.said, loss.low_h, loss.high_h, loss.likely_h, f"{target.text}: {loss.sentence}")
    if target.kind == "shift":
        shift = found.shift_forecast(target.value)
        return Answer(target, shift.said, shift.low_h, shift.high_h, math.nan, shift.sentence)
    zones = found.zone_forecasts(target.value if target.kind == "contrast" else None)
    zone = next((one for one in zones if one.zone == target.of), None)
    if zone is None:
        return _none(target)
    return Answer(target, zone.said, zone.low_h, zone.high_h, math.nan, zone.sentence)


def _none(target: Target) -> Answer:
    return Answer(target, "refused", math.nan, math.nan, math.nan, f"No forecast for '{target.text}': {NOT_READ}.")
