"""The flash governor: no picture change, whoever asks for it, may become a flash.

Sources: WCAG 2.3.1 (general flash: opposing changes of 10 % of the largest relative luminance or more, the darker
state below 0.80; red flash; 0.006 sr), ITU-R BT.1702 (20 cd/m² or more, the darker state below 160 cd/m²).
Both allow three flashes a second; here at most one such change may *start* per half second, which is one flash a
second. A change is judged against the extrema of the last second, so that small steps or a fade cannot hide it.

Where the eye is, is not known: somebody leans forward to look at a mark. So the screen is judged from 300 mm or nearer
whatever was stated, by its real size, and regions count that are much smaller than either source asks for. What is
left free is smaller still: within a second no region above 0.002 of the screen can be put together of it.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from functools import reduce

import numpy as np
from numpy.typing import NDArray

from panelwear.screen.light import Codes8, Light, Real, SamplePoints, light_of, sample_points
from patterns.frame import Frame

BETWEEN_STARTS_S = 0.5
"""Least time from the start of one big change to the start of the next."""
LEAST_FADE_S = 0.3
"""Shortest fade of a big change."""
WINDOW_S = 1.0
"""How far back extrema are looked for."""
SPAN_S = 0.1
"""Extrema are remembered to this; a little longer than a second, never shorter."""
LEAST_REGION_SR = 0.003
"""Region from which a change counts: half of what WCAG 2.3.1 says, 0.006 sr."""
LEAST_REGION_SHARE = 0.0005
"""Region from which a change counts on a small screen, as a share of it. Between two changes that count, less than
this is free; three such spans touch a second, and together they stay below 0.002."""
FARTHEST_MM = 300.0
"""From no farther away is a screen judged."""
LEAST_PEAK_CD_M2 = 300.0
"""Of a peak stated below this, steps are judged as on a panel of this one too: what is stated may be a guess."""


def general_flash(a: NDArray[np.float32] | float, b: NDArray[np.float32] | float) -> NDArray[np.bool_]:
    """Tell whether a change between two relative luminances (0..1) counts (WCAG 2.3.1)."""
    # A millionth of slack: 0.25 - 0.15 must count as 0.10 in binary too.
    return np.asarray((np.abs(np.subtract(a, b)) >= 0.10 - 1e-6) & (np.minimum(a, b) < 0.80))


def harmful_step(a_cd_m2: NDArray[np.float32] | float, b_cd_m2: NDArray[np.float32] | float) -> NDArray[np.bool_]:
    """Tell whether a change between two luminances in cd/m² counts (ITU-R BT.1702)."""
    step = np.abs(np.subtract(a_cd_m2, b_cd_m2))
    return np.asarray((step >= 20.0 - 1e-4) & (np.minimum(a_cd_m2, b_cd_m2) < 160.0))


@dataclass(frozen=True, slots=True)
class Viewing:
    """How the screen is seen."""

    width_px: int
    height_px: int
    active_area_mm: tuple[float, float] = (598.0, 336.0)
    distance_mm: float = 600.0
    peak_cd_m2: float = 300.0


@dataclass(frozen=True, slots=True)
class Permit:
    """What the governor allows."""

    start_s: float
    """Monotonic time from which the change may start."""
    least_fade_s: float
    big: bool
    """Whether the change counts, alone or with what went before."""
    region_sr: float


@dataclass(frozen=True, slots=True, eq=False)
class _Span:
    """Extremes of the light at each point over a short span of time that ends at ``until_s``."""

    from_s: float
    until_s: float
    darkest: Real
    lightest: Real
    least_red: Real
    most_red: Real
    saturated: NDArray[np.bool_]

    @classmethod
    def of(cls, light: Light, at_s: float) -> _Span:
        """Make a span of one state, that ended at ``at_s``."""
        return cls(at_s, at_s, light.luminance, light.luminance, light.red, light.red, light.saturated)

    def joined(self, later: _Span) -> _Span:
        """Return both in one; what the first holds is remembered as long as the second then."""
        return _Span(
            self.from_s,
            later.until_s,
            np.minimum(self.darkest, later.darkest),
            np.maximum(self.lightest, later.lightest),
            np.minimum(self.least_red, later.least_red),
            np.maximum(self.most_red, later.most_red),
            self.saturated | later.saturated,
        )


class Governor:
    """Judges changes and remembers them; it neither draws nor waits.

    Ask ``permit`` with what is wanted, wait, draw, then say what really came on with ``took``.
    """

    def __init__(self, viewing: Viewing) -> None:
        self._past: deque[_Span] = deque()
        self._started_s: float | None = None
        self.look_from(viewing)

    def look_from(self, viewing: Viewing) -> None:
        """Set screen and viewing distance; what is on is unknown then, when the last change started is not."""
        self.viewing = viewing
        distance_mm = min(viewing.distance_mm, FARTHEST_MM)
        self.points: SamplePoints = sample_points(
            viewing.width_px, viewing.height_px, viewing.active_area_mm, distance_mm
        )
        self._past.clear()
        self._now: Light | None = None

    def codes_of(self, frame: Frame) -> Codes8:
        """Codes of a frame at the sample points."""
        return self.points.codes_of(frame)

    def changing(self, wanted: Codes8, now_s: float) -> NDArray[np.bool_]:
        """Tell at which sample points ``wanted`` is a big change against the last second."""
        if self._now is None:
            return np.ones(len(wanted), dtype=bool)
        self._forget(now_s)
        return self._changed(light_of(wanted), reduce(_Span.joined, self._past, _Span.of(self._now, now_s)))

    def _changed(self, light: Light, past: _Span) -> NDArray[np.bool_]:
        changed = np.zeros(light.luminance.shape, dtype=bool)
        for extreme in (past.darkest, past.lightest):
            changed |= general_flash(light.luminance, extreme)
            for peak in {self.viewing.peak_cd_m2, max(self.viewing.peak_cd_m2, LEAST_PEAK_CD_M2)}:
                changed |= harmful_step(light.luminance * np.float32(peak), extreme * np.float32(peak))
        swing = np.maximum(np.abs(light.red - past.least_red), np.abs(light.red - past.most_red))
        changed |= (light.saturated | past.saturated) & (swing > 20)
        return changed

    def _forget(self, now_s: float) -> None:
        while self._past and self._past[0].until_s <= now_s - WINDOW_S:
            self._past.popleft()

    def permit(self, wanted: Codes8, now_s: float) -> Permit:
        """Say when a change to ``wanted`` (codes at the sample points) may start, and its shortest fade."""
        changing = self.changing(wanted, now_s)
        region = float(self.points.solid_angle_sr[changing].sum())
        if region < LEAST_REGION_SR and float(changing.mean()) < LEAST_REGION_SHARE:
            return Permit(now_s, 0.0, big=False, region_sr=region)
        earliest_s = now_s
        # A start in the future belongs to another clock (a rehearsal in the same process): it cannot bind.
        if self._started_s is not None and self._started_s <= now_s:
            earliest_s = max(now_s, self._started_s + BETWEEN_STARTS_S)
        return Permit(earliest_s, LEAST_FADE_S, big=True, region_sr=region)

    def took(self, shown: Codes8, start_s: float, end_s: float, *, big: bool) -> None:
        """Note what came on: started and ended when, and whether it was judged a big change.

        A fade that was broken off is told with the codes it had reached.
        """
        if big:
            self._started_s = start_s
            self._past.clear()
        elif self._now is not None:
            span = _Span.of(self._now, end_s)
            # Many small steps are kept a tenth of a second at a time, or a moving picture would cost more each frame.
            if self._past and 0 <= end_s - self._past[-1].from_s < SPAN_S:
                span = self._past.pop().joined(span)
            self._past.append(span)
        self._now = light_of(shown)


_THE_ONE: list[Governor] = []


def the_governor(viewing: Viewing) -> Governor:
    """Return the one governor of this process; a screen opened a second time cannot shake off its memory."""
    if not _THE_ONE:
        _THE_ONE.append(Governor(viewing))
    else:
        _THE_ONE[0].look_from(viewing)
    return _THE_ONE[0]
