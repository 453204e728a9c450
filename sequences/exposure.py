"""Which exposures a photograph of a panel may have: whole refresh periods, and how full they make the sensor."""

from __future__ import annotations

import math

LEAST_S = 0.25
"""Shorter ones hold too few periods: what light changes within a period is seen as bands."""
MOST_BANDING = 0.003
"""Of the light, were it wholly modulated at the refresh rate; an exposure with more is not offered."""
FULL_SHARE = 0.8
"""The brightest part of a photograph fills the sensor at most so far."""
LENS = 0.65
"""Share of light that reaches the sensor, of a usual lens and near its axis: q of ISO 2720 and ISO 12232 (memory)."""
SATURATION_LX_S = 78.0
"""Exposure that fills a sensor times its speed: saturation-based ISO speed, ISO 12232 (from memory)."""
_THIRDS = range(-6, 16)
"""Exposures of cameras, 1/4 s to 32 s, in thirds of a stop: 2 ** (n / 3) s (common practice, no source)."""
_WRITTEN = {-6: "1/4", -5: "0.3", -4: "0.4", -3: "1/2", -2: "0.6", -1: "0.8", 0: "1", 1: "1.3", 2: "1.6", 3: "2",
            4: "2.5", 5: "3.2", 6: "4", 7: "5", 8: "6", 9: "8", 10: "10", 11: "13", 12: "15", 13: "20", 14: "25",
            15: "30"}  # fmt: skip
"""What stands on a camera for each."""


def banding(exposure_s: float, refresh_hz: float) -> float:
    """Return the greatest band an exposure can show, as a share of the light that is modulated.

    An average over a time T of light modulated at f by cos keeps |sin(pi f T) / (pi f T)| of it.
    """
    periods = math.pi * refresh_hz * exposure_s
    return abs(math.sin(periods)) / periods


def good_times_s(refresh_hz: float) -> tuple[float, ...]:
    """Return the exposures of a camera that last whole refresh periods, or so many that a part does not matter."""
    return tuple(2 ** (n / 3) for n in _THIRDS if banding(2 ** (n / 3), refresh_hz) <= MOST_BANDING)


def time_label(exposure_s: float) -> str:
    """Write an exposure as a camera does, without its unit: ``1/4``, ``2.5``."""
    return _WRITTEN.get(round(3 * math.log2(exposure_s)), f"{exposure_s:.2g}")


def share_of_full(luminance_cd_m2: float, exposure_s: float, f_number: float, iso: float) -> float:
    """Return how far an even field fills the sensor: 1 is full.

    H = q L t / N**2 at the sensor, and full is at 78 lx s / S (ISO 2720, ISO 12232, from memory). Good to a third of a
    stop at best: what the camera's own histogram shows counts.
    """
    return LENS * luminance_cd_m2 * exposure_s / f_number**2 * iso / SATURATION_LX_S


def suggested_s(luminance_cd_m2: float, f_number: float, iso: float, refresh_hz: float) -> float:
    """Return the longest good exposure that leaves room above a field's light; the shortest where none does."""
    times = good_times_s(refresh_hz)
    fitting = [t for t in times if share_of_full(luminance_cd_m2, t, f_number, iso) <= FULL_SHARE]
    return max(fitting, default=times[0])
