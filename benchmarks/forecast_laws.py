"""How often the stated limits of a forecast hold, when wear goes by one law or another.

Series of seven checkpoints over 3600 h are made under each law, with random shapes and losses, read with the noise a
luminance has (0.3 %); the true hours of a 20 % loss are known. "Speeding up" breaks the condition that is stated with
every limit: it shows what that is worth. Zones follow the same courses at a quarter of their size.

    python -m benchmarks.forecast_laws                  200 series a law
"""

from __future__ import annotations

import argparse
import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from benchmarks.comparison_power import binomial_interval
from panelwear.ageing.loss_forecast import ValueAtHours, forecast
from panelwear.ageing.zone_forecast import ContrastAtHours, zone_forecast
from panelwear.byeye.visibility import MODEL_BAND

Real = NDArray[np.float64]
Kept = Callable[[Real], Real]
"""From hours to the share of luminance kept."""

SPAN_H = 3600.0
TARGET = 0.20
U = 0.003
HOURS_ON = np.geomspace(1.0, 2e6, 40_000)
OF_A_ZONE = 25.0
"""Contrast in % of a zone that lost all its light, by the invented course here."""
THRESHOLD = 5.0
"""Contrast in % it is visible from: a narrow zone in the dark."""
ZONE_U = 0.15


def laws(rng: np.random.Generator) -> dict[str, Kept]:
    """Return one course of each law, all having lost the same by the newest checkpoint."""
    lost = float(rng.uniform(0.05, 0.12))
    b, p, tau = rng.uniform(0.5, 1.0), rng.uniform(0.3, 2.0), rng.uniform(0.05, 1.0) * SPAN_H
    first = float(rng.uniform(0.2, 0.7))
    onset = float(rng.uniform(0.2, 0.5)) * SPAN_H

    def scaled(shape: Kept) -> Kept:
        return lambda h: np.asarray(1 - lost * shape(h) / shape(np.array([SPAN_H])))

    return {
        "stretched exponential": lambda h: np.exp(math.log(1 - lost) * (h / SPAN_H) ** b),
        "linear": scaled(lambda h: h),
        "power of time": lambda h: (1 + h / tau) ** (math.log(1 - lost) / math.log(1 + SPAN_H / tau)),
        "root of time": scaled(lambda h: h ** (0.5 + 0.1 * p)),
        "two-phase": scaled(
            lambda h: first * (1 - np.exp(-4 * h / SPAN_H)) / (1 - math.exp(-4)) + (1 - first) * h / SPAN_H
        ),
        "late onset": scaled(lambda h: np.maximum(h - onset, 0.0)),
        "speeding up": scaled(lambda h: h**1.5),
    }


def when(kept: Kept, target: float) -> float:
    """Return the hours at which a loss is reached, ``inf`` where it is not."""
    lost = 1 - kept(HOURS_ON)
    over = np.flatnonzero(lost >= target)
    return float(HOURS_ON[over[0]]) if len(over) else math.inf


def counted(law: str, series: int) -> dict[str, int]:
    """Make the series of one law, forecast each, and count how often the limits hold."""
    found = {"asked": 0, "low": 0, "two": 0, "high": 0, "zones": 0, "zone low": 0, "zone two": 0, "zone high": 0}
    hours = np.linspace(0, SPAN_H, 7)
    for seed in range(series):
        rng = np.random.default_rng((seed, 5))
        kept = laws(rng)[law]
        read = np.log(kept(hours)) + U * rng.standard_normal(len(hours))
        points = [ValueAtHours(float(h), float(y - read[0]), U) for h, y in zip(hours, read, strict=True)]
        told, true_h = forecast(points, TARGET), when(kept, TARGET)
        if told.said != "refused":
            found["asked"] += 1
            found["low"] += told.low_h <= true_h
            found["two"] += math.isfinite(told.high_h)
            found["high"] += math.isfinite(told.high_h) and true_h <= told.high_h
        _zone(found, kept, hours, rng)
    return found


def _zone(found: dict[str, int], kept: Kept, hours: Real, rng: np.random.Generator) -> None:
    """Let a zone age by the law against a reference that stands still."""
    contrast = -OF_A_ZONE * (1 - kept(hours)) + ZONE_U * rng.standard_normal(len(hours))
    points = [ContrastAtHours(float(h), float(c), ZONE_U) for h, c in zip(hours, contrast, strict=True)]
    told = zone_forecast("zone", points, THRESHOLD, MODEL_BAND)
    if told.said in {"refused", "visible"}:
        return
    true_h = when(kept, THRESHOLD / OF_A_ZONE)
    found["zones"] += 1
    found["zone low"] += told.low_h <= true_h
    found["zone two"] += math.isfinite(told.high_h)
    found["zone high"] += math.isfinite(told.high_h) and true_h <= told.high_h


def main() -> None:
    """Print a line a law."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--series", type=int, default=200, help="of each law (200)")
    series = parser.parse_args().series
    print(f"{'law':<24}{'not before holds':>26}{'not after holds':>18}{'zone: not before':>26}{'not after':>14}")
    for law in laws(np.random.default_rng(0)):
        f = counted(law, series)
        cells = []
        for asked, low, two, high in (("asked", "low", "two", "high"), ("zones", "zone low", "zone two", "zone high")):
            least = binomial_interval(f[low], f[asked])[0] if f[asked] else math.nan
            cells += [f"{f[low]} of {f[asked]} (> {least:.0%})", f"{f[high]} of {f[two]}"]
        print(f"{law:<24}{cells[0]:>26}{cells[1]:>18}{cells[2]:>26}{cells[3]:>14}", flush=True)


if __name__ == "__main__":
    main()
