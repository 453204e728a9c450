"""What a comparison of a panel's checkpoints holds: the ends, the pairs, the trend, and the verdict in sentences."""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from panelwear.ageing.loss_forecast import COVERED, Forecast, forecast
from panelwear.ageing.shift_forecast import ShiftForecast, shift_forecast
from panelwear.ageing.zone_forecast import ZoneForecast, zone_forecast
from panelwear.byeye.visibility import MODEL_BAND
from panelwear.compare.all_figures import CodeNeeded
from panelwear.compare.change_table import JudgedChange, verdicts_of
from panelwear.compare.changes import Change
from panelwear.compare.deciding import Deciding, leading
from panelwear.compare.differences import Comparability
from panelwear.compare.subpixels import SubPixels
from panelwear.compare.suspicion import without_wear
from panelwear.compare.trend import FigureHistory, TrendPoint, white_over
from panelwear.compare.zones import ZoneFinding, contrasts_over, stands
from panelwear.folder.hours import HoursOfUse, between_words


@dataclass(frozen=True, slots=True)
class End:
    """Which checkpoint stands at one end of a comparison."""

    name: str
    hours: float
    date: str
    """Day it was begun, ISO 8601; empty where unknown."""
    known: HoursOfUse | None = None
    """How the hours are known; without it they were read."""

    @property
    def use(self) -> HoursOfUse:
        """Hours of use with how they are known."""
        return HoursOfUse(self.hours) if self.known is None else self.known


NO_RATE = "hours fall while dates rise, so how much use lies between the checkpoints is not known"
"""Why nothing is given for hours of use."""


WIDE = 0.25
"""Standard uncertainty of the hours between two checkpoints, as a share of them, beyond which no rate is given: one
over them is no longer near a straight line, and its interval would end nowhere."""


def hours_between(before: End, after: End) -> tuple[float, float]:
    """Return the hours of use between two checkpoints with their standard uncertainty (none but of ranges)."""
    return after.hours - before.hours, math.hypot(before.use.u, after.use.u)


def between_told(before: End, after: End) -> str:
    """Return the hours of use between two: "1200 h", or of ranges "800 to 1600 h"."""
    return between_words(max(after.use.low - before.use.high, 0.0), after.use.high - before.use.low)


def too_wide(before: End, after: End) -> str:
    """Say why no rate is given where ranges of hours lie too near each other; empty where they do not."""
    hours, u = hours_between(before, after)
    if u <= WIDE * hours or u == 0:
        return ""
    return f"the hours are known within ranges only, and {between_told(before, after)} lie between the checkpoints"


def paces(before: End, after: End) -> tuple[float, float]:
    """Return the least and the most hours of use a day between two checkpoints, ``nan`` where dates do not tell."""
    a_day, hours = used_a_day(before, after), after.hours - before.hours
    if not hours > 0:
        return a_day, a_day
    low, high = max(after.use.low - before.use.high, 0.0), after.use.high - before.use.low
    return a_day * low / hours, a_day * high / hours


def used_a_day(before: End, after: End) -> float:
    """Return the hours of use a day between two checkpoints, or ``nan`` where their dates do not tell."""
    try:
        days = (date.fromisoformat(after.date) - date.fromisoformat(before.date)).days
    except ValueError:  # none, or one that was written by hand
        return math.nan
    return (after.hours - before.hours) / days if days > 0 else math.nan


@dataclass(frozen=True, slots=True, eq=False)
class Pair:
    """Two checkpoints compared."""

    since: str
    """``baseline``, ``last`` or ``chosen``."""
    before: End
    after: End
    how: Comparability
    rows: tuple[JudgedChange, ...]
    """The change table: the figures tested together, every zone among them, and what follows from each."""
    sub_pixels: SubPixels | None
    """Retention of the channels; ``None`` where the primaries do not pair."""
    white: str
    """What the step of white rests on; empty where no channels stand beside it."""
    zones: tuple[ZoneFinding, ...]
    not_compared: tuple[str, ...]
    """Patches that do not pair, a sentence a group."""
    paired: int
    """Patches that do."""
    codes: tuple[CodeNeeded, ...]
    """Drive levels that wanted luminances took."""
    suspicions: tuple[str, ...]
    """What else than wear may explain the changes, a sentence each."""
    deciding: tuple[Deciding, ...]
    """What would decide each figure that is undecided."""
    assumed: str
    """Which terms of the probe between evenings nobody measured; empty where all were."""
    figures: tuple[Change, ...]
    """Every figure, without verdicts; empty unless asked for."""
    zones_lost: tuple[str, ...] = ()
    """Zones that lost so many placements that nothing can be said of them."""
    no_rate: str = ""
    """Why nothing is given for hours of use between the two; empty where it is."""

    def offered(self) -> tuple[str, ...]:
        """Say what would decide the undecided figures that lead: white's light, the white point, the worst zone."""
        return leading(self.deciding, self.rows)

    def verdicts_on_wear(self) -> dict[str, str]:
        """Return the verdicts that may be told as wear: none on the channels where something else is suspected."""
        found = verdicts_of(self.rows)
        return without_wear(found) if self.suspicions else found


@dataclass(frozen=True, slots=True)
class HoursMoved:
    """How far a figure's checkpoints moved when hours were put on one scale."""

    figure: str
    """Name of its series."""
    share: float
    """The largest move, as a share of the hours since the baseline."""
    sentence: str


def _lost(kept: TrendPoint | None, newest: TrendPoint) -> tuple[float, float] | None:
    """Return the share lost by the newest checkpoint as the change table has it, with the half width of 95 %."""
    if kept is None or kept.checkpoint != newest.checkpoint:
        return None
    return 1 - kept.value / 100, COVERED * kept.u / 100


@dataclass(frozen=True, slots=True, eq=False)
class Comparison:
    """Everything about the checkpoints of one panel."""

    panel: str
    level: float
    checkpoints: tuple[End, ...]
    """Those with readings, oldest first, up to the one that was asked for; where nothing was read, those by eye."""
    pairs: tuple[Pair, ...]
    """Since the baseline, then since last time (or the one pair that was asked for); none with one checkpoint."""
    trend: tuple[FigureHistory, ...]
    zones_alone: tuple[ZoneFinding, ...]
    """Zones of a panel with one checkpoint: against their mirror places."""
    sentences: tuple[str, ...]
    """The verdict (``sentences.verdict_of``); before it what must be known of the checkpoints."""
    fallen: bool = False
    """Whether hours fall while dates rise somewhere, so that nothing can be foretold from them."""
    forecast_from: tuple[FigureHistory, ...] = ()
    """The trend over hours of like use (``like_use.py``), where use was not alike; forecasts go by it."""
    hours_moved: tuple[HoursMoved, ...] = ()
    """What is to be said of those hours, by figure."""
    unread_zones: str = ""
    """Which zones no checkpoint has read, in a sentence; empty where each was."""

    def forecasts(self, target_loss: float, drift_u: float = 0.0) -> dict[str, Forecast]:
        """Say for white and each channel when a loss (0.2 is 20 %) will be reached, or why that cannot be said.

        Args:
            target_loss: share of the baseline's luminance.
            drift_u: what the probe may have drifted by since the baseline (standard uncertainty, a share).
        """
        wear = {s.name.removesuffix(".Y"): s for s in self._series() if s.name.endswith(".Y")}
        kept = {s.name.removesuffix(".retention"): s.points[-1] for s in self.trend if s.name.endswith(".retention")}
        return {
            name: forecast(s.seen(), target_loss, self._against(), drift_u, _lost(kept.get(name), s.points[-1]))
            for name, s in wear.items()
        }

    def zone_forecasts(self, percent: float | None = None) -> tuple[ZoneForecast, ...]:
        """Say for each zone since the baseline when it will be visible, or why that cannot be said.

        Args:
            percent: a contrast that is asked for instead.
        """
        zones = self.pairs[0].zones if self.pairs else ()
        series = {s.name: s for s in self._series()}
        known = [zone for zone in zones if f"zone/{zone.zone}" in series]
        found = []
        for zone in known:
            history, against = series[f"zone/{zone.zone}"], self._against()
            if percent is not None:
                points = contrasts_over(zone, history)
                found.append(zone_forecast(zone.zone, points, percent, against=against, stands=stands(zone)))
            elif zone.seen is not None:
                points, told = contrasts_over(zone, history, seen=True), stands(zone, seen=True)
                threshold = zone.seen.threshold_percent
                found.append(zone_forecast(zone.zone, points, threshold, MODEL_BAND, against=against, stands=told))
        return tuple(found)

    def shift_forecast(self, shift: float) -> ShiftForecast:
        """Say when white will have shifted by Δu'v' since the baseline, or why that cannot be said."""
        return shift_forecast(white_over(self._series()), shift, self._against())

    def hours_said(self, figures: Collection[str]) -> str:
        """Say of the figure, among those named, whose hours moved most how they did; empty where none did."""
        moved = [one for one in self.hours_moved if one.figure in figures]
        return max(moved, key=lambda one: one.share).sentence if moved else ""

    def is_followed(self, figure: str) -> bool:
        """Whether a figure was read at the baseline and at the newest checkpoint, which every forecast rests on."""
        return any(series.name == figure for series in self._series())

    def _series(self) -> tuple[FigureHistory, ...]:
        ends = (self.checkpoints[0].name, self.checkpoints[-1].name)
        each = self.forecast_from or self.trend
        return tuple(s for s in each if (s.points[0].checkpoint, s.points[-1].checkpoint) == ends)

    def _against(self) -> str:
        if self.fallen:
            return NO_RATE
        return too_wide(self.checkpoints[0], self.checkpoints[-1])

    def hours_a_day(self) -> float:
        """Return how many hours a day the panel was in use between the first and the last checkpoint, or ``nan``."""
        first, last = self.checkpoints[0], self.checkpoints[-1]
        return math.nan if self.fallen else used_a_day(first, last)

    def paces(self) -> tuple[float, float]:
        """Return the least and the most it can have been; the same unless hours are estimated."""
        return (math.nan, math.nan) if self.fallen else paces(self.checkpoints[0], self.checkpoints[-1])
