"""How often a run is stopped for an implausible reading: healthy and worn panels, and a probe that is not on its patch.

python -m benchmarks.false_stops [RUNS]

Each run is 60 patches of 2 readings at one place: greys, every code about five times. The response of the last
checkpoint is known; in the cases of a first one only a stated peak, with a gamma of 2.2 taken on trust. A patch that
was read before is held against its own reading, as in a run. Two readings on one side stop it, or three on either.
The arithmetic above the tables is for independent normal noise: ``1 - (1 - 2 Q(k))^n`` for a stop by one reading,
``1 - (1 - 2 Q(k)²)^n`` for two on one side (Q: the normal distribution's tail).
"""

from __future__ import annotations

import math
import sys
from dataclasses import dataclass

import numpy as np

from panelwear.panel.aperture import share_left_of_edge
from panelwear.panel.noise import NoiseModel
from panelwear.panel.plausible import Expected, Verdict, from_readings, from_response, from_stated, judge, stops

PATCHES = 60
READS = 2
CODES = (0, 16, 32, 48, 64, 96, 128, 160, 192, 224, 255)
DARK_CD_M2 = 0.003
"""Noise of a black reading."""
PEAK_CD_M2 = 410.0
BLACK_CD_M2 = 0.0005
GAMMA = 2.2
APERTURE_MM = 10.0
DIM_ROOM_CD_M2 = 0.3
COVERED_CD_M2 = 0.0003
OFF_MM = (-2.0, -1.0, 0.0, 2.0, 5.0)
"""How far the aperture's middle lies outside the patch's edge; its radius is 5 mm, and black lies beside the patch."""


@dataclass(frozen=True, slots=True)
class Case:
    """What is so."""

    name: str
    noise: float
    """Relative standard deviation of one reading."""
    share: float = 1.0
    """Of the light that is due."""
    spread: float = 0.02
    """How unlike that share is from patch to patch, relative."""
    extra_cd_m2: float = 0.0
    gamma: float = GAMMA
    first: bool = False
    """A first checkpoint: nothing is known but the panel file's peak."""


def off_target(mm: float) -> Case:
    """Put the aperture's middle so far outside the patch's edge."""
    return Case(
        f"off target, middle {mm:g} mm outside", 0.0015, share_left_of_edge(-mm / (APERTURE_MM / 2)), 0.02, BLACK_CD_M2
    )


HEALTHY = (
    Case("healthy, noise 0.15 %", 0.0015),
    Case("healthy, noise 1 %", 0.01),
    Case("worn by 15 %, noise 0.15 %", 0.0015, 0.85, 0.04),
    Case("worn by 15 %, noise 1 %", 0.01, 0.85, 0.04),
    Case("room light 0.5 cd/m² more than then", 0.0015, extra_cd_m2=0.5),
    Case("first: peak as stated, gamma 2.4", 0.0015, gamma=2.4, first=True),
    Case("first: half the stated peak, gamma 2", 0.0015, 0.5, gamma=2.0, first=True),
)
WRONG = (
    Case("worn by 25 % in one interval", 0.0015, 0.75, 0.04),
    Case("brightness set down by 40 %", 0.0015, 0.6),
    *(off_target(mm) for mm in OFF_MM),
    Case("covered", 0.0015, 0.0, 0.0, COVERED_CD_M2),
    Case("fallen, looks into a dim room", 0.0015, 0.0, 0.0, DIM_ROOM_CD_M2),
    Case("panel off", 0.0015, 0.0, 0.0, COVERED_CD_M2),
    Case("first: covered or panel off", 0.0015, 0.0, 0.0, COVERED_CD_M2, first=True),
    Case("first: on the black beside the patch", 0.0015, 0.0, 0.0, BLACK_CD_M2, first=True),
)


def tail(k: float) -> float:
    """Return the share of a normal distribution beyond k."""
    return 0.5 * math.erfc(k / math.sqrt(2))


def luminance(code: int, gamma: float) -> float:
    """Return the panel's light in cd/m²."""
    return float(BLACK_CD_M2 + PEAK_CD_M2 * (code / 255) ** gamma)


def expected_of(case: Case, code: int, before: list[float]) -> Expected:
    """Expect what a run would: what was read here before, else the response, else the panel file."""
    if before:
        return from_readings(before, same_place=True)
    due = luminance(code, GAMMA)
    if case.first:
        return from_stated(due, PEAK_CD_M2, stated=True)
    return from_response(due, same_geometry=True, told="")


def stop_after(case: Case, random: np.random.Generator) -> int:
    """Return after how many readings a run stops; 0: never."""
    noise = NoiseModel(dark_cd_m2=DARK_CD_M2, relative=case.noise)
    read: dict[int, list[float]] = {}
    taken = 0
    for code in random.choice(CODES, PATCHES).tolist():
        here = read.setdefault(code, [])
        share = case.share * max(0.0, 1 + case.spread * random.standard_normal())
        true = share * luminance(code, case.gamma) + case.extra_cd_m2
        for _ in range(READS):
            expected = expected_of(case, code, here)
            odd: list[Verdict] = []
            while True:
                taken += 1
                value = true + noise.sd(true) * random.standard_normal()
                verdict = judge(expected, value, noise.sd(expected.cd_m2))
                if verdict == "plausible":
                    here.append(value)
                    break
                odd.append(verdict)
                if stops(odd):
                    return taken
    return 0


def table(cases: tuple[Case, ...], runs: int, random: np.random.Generator) -> None:
    """Print one line a case."""
    print(f"{'case':38} {'stopped of ' + str(runs):>15} {'%':>6} {'readings until then: median, most':>34}")
    for case in cases:
        ends = [stop_after(case, random) for _ in range(runs)]
        stopped = [end for end in ends if end]
        until = f"{np.median(stopped):.0f}, {max(stopped)}" if stopped else "-"
        print(f"{case.name:38} {len(stopped):>15} {100 * len(stopped) / runs:>6.1f} {until:>34}")


def main(runs: int) -> None:
    """Print the arithmetic and both tables."""
    print("A gate of k standard deviations, 100 readings:   one reading stops   two on one side stop")
    for k in (3.0, 4.0, 6.0):
        # 2 Q(6)^2 lies below a float's last digit beside 1, hence expm1 and log1p.
        one, two = (-math.expm1(100 * math.log1p(-2 * tail(k) ** power)) for power in (1, 2))
        print(f"  k = {k:g} {100 * one:38.2g} % {100 * two:20.2g} %")
    random = np.random.default_rng(9)
    print(f"\nNothing is amiss: every stop is a false one; {runs} runs of {READS * PATCHES} readings a line")
    table(HEALTHY, runs, random)
    print(f"\nSomething is amiss: every stop is wanted; aperture {APERTURE_MM:g} mm")
    table(WRONG, runs, random)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 400)
