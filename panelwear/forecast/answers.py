"""Every target answered from one comparison, and what the answers are on the calendar for one use or another."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from panelwear.ageing.calendar import DAYS_A_MONTH
from panelwear.ageing.said import LEAST_CHECKPOINTS, Limits, hours_words
from panelwear.compare.comparison import Comparison
from panelwear.errors import UsageError
from panelwear.forecast.targets import Target, first_targets, next_contrast
from panelwear.forecast.uses import OWN, Use

LONGEST_DAY_H = 24.0
NOT_AT_BOTH = "the baseline and the newest checkpoint do not both tell it"
READS = {
    "zone": "'panelwear inspect DIR --sequence zones' reads every zone that has a reference in panel.toml; a zone "
    "without one has no contrast",
    "light": "'panelwear inspect DIR --sequence checkpoint' reads white, red, green and blue",
}
"""What to do about a figure that was not read."""


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


class Limited(Protocol):
    """Anything that has limits."""

    @property
    def low_h(self) -> float: ...  # noqa: D102
    @property
    def high_h(self) -> float: ...  # noqa: D102


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
    begun_ends_h: tuple[float, float] | None = None
    """Between what the hours of the baseline lie; ``None``: they are known."""
    now_ends_h: tuple[float, float] | None = None
    """The same of the newest checkpoint."""
    own_ends_h_a_day: tuple[float, float] | None = None
    """The least and the most hours of use a day that follow from these."""

    @property
    def begun_words(self) -> str:
        """Hours of the baseline."""
        return hours_words(*(self.begun_ends_h or (self.begun_h, self.begun_h)))

    @property
    def now_between_h(self) -> tuple[float, float]:
        """Between what the hours of the newest checkpoint lie."""
        return self.now_ends_h or (self.now_h, self.now_h)

    @property
    def own_between_h_a_day(self) -> tuple[float, float]:
        """The least and the most hours of use a day."""
        return self.own_ends_h_a_day or (self.own_h_a_day, self.own_h_a_day)

    @property
    def own_words(self) -> str:
        """Hours of use a day, to four digits."""
        low, high = (f"{one:.4g}" for one in self.own_between_h_a_day)
        return f"{low} h a day" if low == high else f"{low} to {high} h a day"

    @property
    def rows(self) -> tuple[ForUse, ...]:
        """Every answer that lies ahead, for this panel's own use and for each of the others."""
        return tuple(self._row(one, use) for one in self.answers if one.is_ahead for use in (OWN, *self.uses))

    @property
    def printed_rows(self) -> tuple[ForUse, ...]:
        """The same from hours as they are printed, so that whoever divides them comes to the days printed."""
        ahead = (one for one in self.answers if one.is_ahead)
        each = (replace(one, low_h=low, high_h=high) for one in ahead for low, high in [self.printed(one)])
        return tuple(self._row(one, use, 3) for one in each for use in (OWN, *self.uses))

    def printed(self, one: Limited) -> tuple[float, float]:
        """Return both limits of an answer as they are printed."""
        begun, now = self.begun_ends_h, self.now_ends_h
        limits = Limits(one.low_h, one.high_h, self.begun_h, self.now_h, begun_ends_h=begun, now_ends_h=now)
        high = limits.printed(one.high_h, math.ceil) if math.isfinite(one.high_h) else one.high_h
        return limits.printed(one.low_h, math.floor), high

    def _row(self, one: Answer, use: Use, digits: int | None = None) -> ForUse:
        """Return one row; ``digits``: of hours of another's use, outwards."""
        pace, rate = [min(use.pace(own), LONGEST_DAY_H) for own in self.own_between_h_a_day], use.rate
        now = self.now_between_h
        ends = one.low_h / rate.high, one.high_h / rate.low
        if digits is not None and rate != OWN.rate:
            ends = outwards(ends, digits)
        left = max(one.low_h - now[1], 0.0) / rate.high, max(one.high_h - now[0], 0.0) / rate.low
        # The unlucky end of a range: most hours a day for what comes soonest, least for what comes last.
        return ForUse(one, use, *ends, ends[0] / pace[1], ends[1] / pace[0], left[0] / pace[1], left[1] / pace[0])


def outwards(ends: tuple[float, float], digits: int) -> tuple[float, float]:
    """Round two limits outwards to so many digits."""

    def step(value: float) -> float:
        return 10.0 ** (math.floor(math.log10(value)) - digits + 1)

    low, high = (
        towards(end / step(end) + slack) * step(end) if 0 < end < math.inf else end
        for end, towards, slack in ((ends[0], math.floor, 1e-9), (ends[1], math.ceil, -1e-9))
    )
    return low, high


def foretold(found: Comparison, targets: Sequence[Target], uses: Sequence[Use] = (), drift_u: float = 0.0) -> Foretold:
    """Answer every target.

    Args:
        found: all checkpoints compared.
        targets: what is asked for; none: what is sensible for this panel.
        uses: of others.
        drift_u: what the probe may have drifted by since the baseline (standard uncertainty, a share of luminance).

    Raises:
        UsageError: a use has more than 24 h a day.
    """
    _refuse_longer_days(found, uses)
    asked = targets or sensible(found)
    answers = tuple(answer(found, target, drift_u) for target in asked)
    return on_the_calendar(found, answers, uses)


def _refuse_longer_days(found: Comparison, uses: Sequence[Use]) -> None:
    """Raise ``UsageError`` for a share of this panel's own hours that no day has."""
    least = found.paces()[0]
    for use in uses:
        a_day = least * use.of_my_hours
        if use.hours_a_day is None and use.of_my_hours > 1 and a_day > LONGEST_DAY_H:
            raise UsageError(
                f"--use '{use.name}': that makes {a_day:.4g} h a day, and a day has 24; this panel's own pace is "
                f"{least:.4g} h a day"
            )


def on_the_calendar(found: Comparison, answers: Sequence[Answer] = (), uses: Sequence[Use] = ()) -> Foretold:
    """Put answers together with what the hours of a comparison are."""
    own = found.hours_a_day()
    pace = own if 0 < own <= LONGEST_DAY_H else math.nan
    first, last = found.checkpoints[0].use, found.checkpoints[-1].use
    said = found.hours_said([name for one in answers if one.is_ahead for name in one.target.series])
    notes = (said,) if said else ()
    least, most = found.paces()
    return Foretold(
        found.panel, first.value, last.value, pace, tuple(answers), tuple(uses), notes,
        begun_ends_h=(first.low, first.high) if first.is_range else None,
        now_ends_h=(last.low, last.high) if last.is_range else None,
        own_ends_h_a_day=(least, min(most, LONGEST_DAY_H)) if most > least > 0 and not math.isnan(pace) else None,
    )  # fmt: skip


def sensible(found: Comparison) -> tuple[Target, ...]:
    """Return what is answered where nothing is asked for."""
    if not found.pairs:
        return ()
    series = {s.name: s.points for s in found.trend if found.is_followed(s.name)}
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
            return _none(found, target, "light")
        return Answer(target, loss.said, loss.low_h, loss.high_h, loss.likely_h, f"{target.text}: {loss.sentence}")
    if target.kind == "shift":
        if not found.is_followed("white.u_prime"):
            return _none(found, target, "light")
        shift = found.shift_forecast(target.value)
        return Answer(target, shift.said, shift.low_h, shift.high_h, math.nan, shift.sentence)
    zones = found.zone_forecasts(target.value if target.kind == "contrast" else None)
    zone = next((one for one in zones if one.zone == target.of), None)
    if zone is None:
        return _none(found, target, "zone")
    return Answer(target, zone.said, zone.low_h, zone.high_h, math.nan, zone.sentence)


def _none(found: Comparison, target: Target, what: str) -> Answer:
    """Say why there is no answer about a figure that was not read, and what to do."""
    why = f"{_not_read(found, target, what)}; {READS[what]}"
    return Answer(target, "refused", math.nan, math.nan, math.nan, f"No forecast for '{target.text}': {why}.")


def _not_read(found: Comparison, target: Target, what: str) -> str:
    several = len(found.checkpoints) > 1
    newest = {one.zone for one in (found.pairs[0].zones if found.pairs else found.zones_alone)}
    if what == "zone" and several and target.of in newest:
        return (
            f"{target.of} was not read at the baseline in a way that compares, and a contrast is drawn on from there: "
            f"it takes {LEAST_CHECKPOINTS} checkpoints that read it, the first one among them"
        )
    needed = f"it takes {LEAST_CHECKPOINTS} checkpoints that do, the first one among them"
    if several:
        return f"{NOT_AT_BOTH}, and {needed}"
    return f"there is one checkpoint, and {needed}"
