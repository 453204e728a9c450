"""The flash governor: no picture change, whoever asks for it, may become a flash.

Sources: WCAG 2.3.1 (general flash: opposing changes of 10 % of the largest relative luminance or more, the darker
state below 0.80; red flash; 0.006 sr), ITU-R BT.1702 (20 cd/m² or more, the darker state below 160 cd/m²).
Both allow three flashes a second; here at most one such change may *start* per half second, which is one flash a
second. A change is judged against the extrema of the last second, so that small steps or a fade cannot hide it.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.screen.light import Codes8, Light, SamplePoints, light_of, sample_points
from patterns.frame import Frame

BETWEEN_STARTS_S = 0.5
"""Least time from the start of one big change to the start of the next."""
LEAST_FADE_S = 0.3
"""Shortest fade of a big change."""
WINDOW_S = 1.0
"""How far back extrema are looked for."""
LEAST_REGION_SR = 0.006
"""Region from which a change counts (WCAG 2.3.1)."""
LARGEST_REGION_SHARE = 0.25
"""On a screen seen so small that 0.006 sr is most of it, a quarter of the screen counts (BT.1702)."""
SAMPLING_MARGIN = 0.85
"""The sampled region may come out smaller than the true one; count it from this share on."""


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
class _Held:
    light: Light
    until_s: float


class Governor:
    """Judges changes and remembers them; it neither draws nor waits.

    Ask ``permit`` with what is wanted, wait, draw, then say what really came on with ``took``.
    """

    def __init__(self, viewing: Viewing) -> None:
        self._past: deque[_Held] = deque()
        self._started_s: float | None = None
        self.look_from(viewing)

    def look_from(self, viewing: Viewing) -> None:
        """Set screen and viewing distance; what is on is unknown then, when the last change started is not."""
        self.viewing = viewing
        self.points: SamplePoints = sample_points(
            viewing.width_px, viewing.height_px, viewing.active_area_mm, viewing.distance_mm
        )
        whole_sr = float(self.points.solid_angle_sr.sum())
        self.least_region_sr = min(LEAST_REGION_SR, LARGEST_REGION_SHARE * whole_sr)
        self._past.clear()
        self._now: Light | None = None

    def codes_of(self, frame: Frame) -> Codes8:
        """Codes of a frame at the sample points."""
        return self.points.codes_of(frame)

    def region_sr(self, wanted: Codes8, now_s: float) -> float:
        """Measure the region, in sr, in which ``wanted`` is a big change against the last second."""
        if self._now is None:
            return float(self.points.solid_angle_sr.sum())
        self._forget(now_s)
        changed = self._changed(light_of(wanted), [self._now, *(held.light for held in self._past)])
        return float(self.points.solid_angle_sr[changed].sum())

    def _changed(self, light: Light, past: list[Light]) -> NDArray[np.bool_]:
        changed = np.zeros(light.luminance.shape, dtype=bool)
        peak = np.float32(self.viewing.peak_cd_m2)
        darkest = np.min([seen.luminance for seen in past], axis=0)
        lightest = np.max([seen.luminance for seen in past], axis=0)
        for extreme in (darkest, lightest):
            changed |= general_flash(light.luminance, extreme)
            changed |= harmful_step(light.luminance * peak, extreme * peak)
        saturated = light.saturated | np.any([seen.saturated for seen in past], axis=0)
        least_red = np.min([seen.red for seen in past], axis=0)
        most_red = np.max([seen.red for seen in past], axis=0)
        swing = np.maximum(np.abs(light.red - least_red), np.abs(light.red - most_red))
        changed |= saturated & (swing > 20)
        return changed

    def _forget(self, now_s: float) -> None:
        while self._past and self._past[0].until_s <= now_s - WINDOW_S:
            self._past.popleft()

    def permit(self, wanted: Codes8, now_s: float) -> Permit:
        """Say when a change to ``wanted`` (codes at the sample points) may start, and its shortest fade."""
        region = self.region_sr(wanted, now_s)
        if region < SAMPLING_MARGIN * self.least_region_sr:
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
            self._past.append(_Held(self._now, end_s))
        self._now = light_of(shown)


_THE_ONE: list[Governor] = []


def the_governor(viewing: Viewing) -> Governor:
    """Return the one governor of this process; a screen opened a second time cannot shake off its memory."""
    if not _THE_ONE:
        _THE_ONE.append(Governor(viewing))
    else:
        _THE_ONE[0].look_from(viewing)
    return _THE_ONE[0]
