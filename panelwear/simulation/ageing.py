"""How the simulated panel wears: stretched-exponential decay over a luminance dose, backplane shift, compensation."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from panelwear.simulation.usage import HARBOUR_DESK, Content

Real = NDArray[np.float64]

REFERENCE_CD_M2 = 120.0
"""One hour of white at this luminance is one hour of dose."""


def retention(dose_h: ArrayLike, tau_h: ArrayLike, b: ArrayLike) -> Real:
    """Give what is left of the luminance, ``exp(-(t / tau)^b)``.

    Source: stretched exponential decay of constant-current OLEDs, Fery et al., Appl. Phys. Lett. 87 (2005) 213502.
    """
    dose = np.maximum(np.asarray(dose_h, dtype=np.float64), 0.0)
    return np.asarray(np.exp(-((dose / np.asarray(tau_h)) ** np.asarray(b))))


@dataclass(frozen=True, slots=True)
class Compensation:
    """One compensation cycle of the panel: drives worn sub-pixels harder, undoes part of the backplane's shift."""

    at_h: float
    """Hours of use when it ran."""
    emitter_share: float = 0.4
    """Share of the log luminance loss it makes up; above 1 it overshoots."""
    backplane_share: float = 0.8
    """Share of the backplane's shift it undoes."""


@dataclass(frozen=True, slots=True)
class Ageing:
    """Wear of the sub-pixels R, G, B and, where the panel has one, white."""

    tau_h: tuple[float, float, float, float] = (124_000.0, 166_000.0, 155_000.0, 150_000.0)
    b: tuple[float, float, float, float] = (0.80, 0.78, 0.72, 0.78)
    """Shape of each; published values lie between 0.5 and 0.9, blue lower than red."""
    exponent: float = 1.7
    """Acceleration by level: dose = hours x (L / L_ref)^n."""
    backplane_per_kh: float = -0.0004
    """Relative change at full drive for every 1000 h of dose; grows as (L / L_full)^(-1/2) towards the dark."""
    smear: float = 0.003
    """Width of the zones' edges in the wear, as a share of the panel's width: the panel moves its picture a little."""

    def dose_rate(self, x: Real, y: Real, usage: Sequence[Content] = HARBOUR_DESK, aspect: float = 16 / 9) -> Real:
        """Give dose hours for each hour of use at places, ``(n, 4)`` for R, G, B, W.

        Args:
            x: shares of the width, ``(n,)``.
            y: shares of the height, ``(n,)``.
            usage: what is shown where; later contents lie over earlier ones.
            aspect: width over height in millimetres, so that edges are equally wide both ways.
        """
        rate = np.zeros((len(x), 4))
        for content in usage:
            left, top, right, bottom = content.share
            cover = _between(x, left, right, self.smear) * _between(y, top, bottom, self.smear * aspect)
            level = np.array([*content.drive_cd_m2, min(content.drive_cd_m2)]) / REFERENCE_CD_M2
            rate += cover[:, None] * (level**self.exponent - rate)
        return rate

    def emitters(self, dose_rate: Real, hours: float, cycles: Sequence[Compensation] = ()) -> Real:
        """Give the factors on the light of each sub-pixel after hours of use, compensation included; ``(n, 4)``."""
        tau, b = np.asarray(self.tau_h), np.asarray(self.b)
        left = retention(dose_rate * hours, tau, b)
        boost = np.zeros_like(left)
        for cycle in sorted((c for c in cycles if c.at_h <= hours), key=lambda c: c.at_h):
            lost = -np.log(retention(dose_rate * cycle.at_h, tau, b)) - boost
            boost += cycle.emitter_share * lost
        return np.asarray(left * np.exp(boost))

    def backplane(self, dose_rate: Real, hours: float, cycles: Sequence[Compensation] = ()) -> Real:
        """Give the coefficient c1 of ``l + c1 sqrt(l)`` for each sub-pixel at linear drive l; ``(n, 4)``."""
        shift = np.zeros_like(dose_rate)
        since = 0.0
        for cycle in sorted((c for c in cycles if c.at_h <= hours), key=lambda c: c.at_h):
            shift += dose_rate * (cycle.at_h - since) / 1000 * self.backplane_per_kh
            shift *= 1 - cycle.backplane_share
            since = cycle.at_h
        return np.asarray(shift + dose_rate * (hours - since) / 1000 * self.backplane_per_kh)


NO_AGEING = Ageing(tau_h=(1e12,) * 4, b=(1.0,) * 4, backplane_per_kh=0.0)


def _between(at: Real, low: float, high: float, width: float) -> Real:
    """Give 1 inside and 0 outside, with linear edges; the panel's own border has no soft edge."""
    rise = np.ones_like(at) if low <= 0 else np.clip((at - low) / width + 0.5, 0, 1)
    fall = np.ones_like(at) if high >= 1 else np.clip((high - at) / width + 0.5, 0, 1)
    return np.asarray(rise * fall)
