"""Closing in on a wanted luminance: read, correct, at most three times."""

from __future__ import annotations

import math
from collections.abc import Generator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.panel.curve import CODES, Curve, curve_of
from panelwear.panel.noise import NoiseModel

Real = NDArray[np.float64]

TRIALS = 3
APART = 0.02
"""Two trials whose light differs by less than this share say nothing about the slope between them, only scatter."""
MIX_CLOSE = 0.001
"""Relative error at which a mixed level needs no further correction."""


@dataclass(frozen=True, slots=True)
class Trial:
    """One trial reading: the mean at a code."""

    code: float
    luminance_cd_m2: float


@dataclass(frozen=True, slots=True)
class Refined:
    """The code closed in on."""

    code: float
    expected_cd_m2: float
    """Luminance the corrected curve gives there."""
    trials: tuple[Trial, ...]
    met: bool
    """Whether it is expected within half a code step, or half a per cent with the mix."""
    sentence: str = ""
    """Why it was not met; empty otherwise."""


def corrected(curve: Curve, trials: tuple[Trial, ...]) -> Curve:
    """Bend a curve through trial readings: the light above black is scaled, the scale running evenly between trials."""
    black = curve.black_cd_m2
    darkest = min(trial.luminance_cd_m2 for trial in trials)
    if darkest < black:
        black = max(darkest, 0.0)
    net = np.asarray(curve.cd_m2) - curve.black_cd_m2
    scales: dict[float, float] = {}
    for trial in trials:
        expected = curve.luminance(trial.code) - curve.black_cd_m2
        if expected > 0 and trial.luminance_cd_m2 > black:
            scales[math.log(expected)] = math.log((trial.luminance_cd_m2 - black) / expected)
    if not scales:
        return curve
    at = np.log(np.maximum(net, 1e-12))
    return curve_of(black + np.where(net > 0, net * np.exp(_scale(at, scales)), 0.0))


def _scale(at: Real, scales: dict[float, float]) -> Real:
    """Run the logarithm of the scale through the trials, and on along the last two where they stand apart."""
    known = np.asarray(sorted(scales))
    value = np.asarray([scales[k] for k in known])
    inside: Real = np.asarray(np.interp(at, known, value), dtype=np.float64)
    if len(known) < 2:
        return inside
    low, high = _slope(known[:2], value[:2]), _slope(known[-2:], value[-2:])
    return np.asarray(inside + low * np.minimum(at - known[0], 0.0) + high * np.maximum(at - known[-1], 0.0))


def _slope(known: Real, value: Real) -> float:
    apart = known[1] - known[0]
    return float(np.clip((value[1] - value[0]) / apart, -0.7, 0.7)) if apart > APART else 0.0


def trial_readings(wanted_cd_m2: float, curve: Curve, noise: NoiseModel, *, between_codes: bool) -> int:
    """Return how many readings one trial takes (1..16) for its scatter to stay below a third of what is to be met."""
    step = 0.005 * wanted_cd_m2 if between_codes else curve.quantum(curve.code_for(wanted_cd_m2)) / 2
    if step <= 0:
        return 1
    return int(min(max(math.ceil((3 * noise.sd(wanted_cd_m2) / step) ** 2), 1), 16))


def refine(
    wanted_cd_m2: float, curve: Curve, *, between_codes: bool = False, trials: int = TRIALS
) -> Generator[float, float, Refined]:
    """Close in on a luminance. Yields a code to show, is sent the mean luminance read there, returns the code to use.

    A reading that is not a number, or not above zero, ends it with the best known so far.
    """
    done: list[Trial] = []
    best = curve
    missed = 0.0
    code = curve.nearest_code(wanted_cd_m2, between_codes=between_codes)
    for _ in range(trials):
        luminance = yield code
        if not math.isfinite(luminance) or luminance <= 0:
            break
        done.append(Trial(code, luminance))
        best = corrected(curve, tuple(done))
        if between_codes:
            if abs(luminance - wanted_cd_m2) <= MIX_CLOSE * wanted_cd_m2:
                break
            # The bent curve is exact at whole codes only: what it misses at the trial itself is taken along.
            missed = luminance - best.luminance(code)
            code = best.nearest_code(wanted_cd_m2 - missed, between_codes=True)
        else:
            proposed = _whole_code(wanted_cd_m2, best, tuple(done))
            code = _nearest(wanted_cd_m2, done).code if proposed is None else proposed
            if proposed is None:
                break
    return _outcome(wanted_cd_m2, code, best, tuple(done), between_codes=between_codes, missed=missed)


def _nearest(wanted: float, trials: Sequence[Trial]) -> Trial:
    return min(trials, key=lambda trial: abs(trial.luminance_cd_m2 - wanted))


def _whole_code(wanted: float, curve: Curve, trials: tuple[Trial, ...]) -> float | None:
    """Return the next whole code worth a trial, or ``None`` when the nearest was tried.

    A level halfway between two codes is decided by reading both.
    """
    seen = {trial.code for trial in trials}
    proposed = curve.nearest_code(wanted)
    if proposed not in seen:
        return proposed
    nearest = _nearest(wanted, trials)
    error = wanted - nearest.luminance_cd_m2
    other = nearest.code + math.copysign(1.0, error)
    halfway = abs(error) > 0.45 * abs(curve.luminance(other) - curve.luminance(nearest.code))
    return other if halfway and other not in seen and 0 <= other < CODES else None


def _outcome(
    wanted: float, code: float, curve: Curve, trials: tuple[Trial, ...], *, between_codes: bool, missed: float
) -> Refined:
    read = [trial.luminance_cd_m2 for trial in trials if trial.code == code]
    expected = read[-1] if read else curve.luminance(code) + missed
    room = 0.005 * wanted if between_codes else curve.quantum(code) / 2
    met = bool(trials) and abs(expected - wanted) <= room
    if met:
        return Refined(code, expected, trials, True)
    why = "no usable trial reading came" if not trials else f"the nearest found is {expected:.4g} at code {code:g}"
    return Refined(code, expected, trials, False, f"{wanted:.4g} cd/m² could not be closed in on: {why}.")
