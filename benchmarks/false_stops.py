"""How often a run is stopped for an implausible reading: healthy and worn panels, and a probe that is not on its patch.

python benchmarks/false_stops.py [RUNS]

Each run is 120 readings of 2 to a patch, expected by the response of the last checkpoint. A stop needs two readings on
one side, as in a run. The first two rows of arithmetic are for independent normal noise (``1 - (1 - 2 Q(k))^n`` for one
reading, ``1 - (1 - 2 Q(k)²)^n`` for two on one side).
"""

from __future__ import annotations

import math
import sys

import numpy as np

from panelwear.panel.noise import NoiseModel
from panelwear.panel.plausible import from_response, judge

PATCHES = 60
NOISE = NoiseModel(dark_cd_m2=0.003, relative=0.0015)
PEAK_CD_M2 = 410.0
GAMMA = 2.2
ROOM_CD_M2 = 0.3
CASES = {
    "healthy": (1.0, 0.02, 0.0),
    "worn by 15 %": (0.85, 0.04, 0.0),
    "worn by 25 %": (0.75, 0.04, 0.0),
    "half off its patch": (0.5, 0.02, 0.0),
    "off target, on the black beside": (0.0, 0.0, 0.0),
    "covered": (0.0, 0.0, 0.0),
    "fallen, looks into a dim room": (0.0, 0.0, ROOM_CD_M2),
    "panel off": (0.0, 0.0, 0.0),
}
"""What is so → share of the light that is due, its spread from patch to patch, light on top in cd/m²."""


def tail(k: float) -> float:
    """Return the share of a normal distribution beyond k."""
    return 0.5 * math.erfc(k / math.sqrt(2))


def stop_after(share: float, spread: float, extra_cd_m2: float, random: np.random.Generator) -> int:
    """Return after how many readings a run stops; 0: never."""
    taken = 0
    for code in random.choice(np.array([0, 16, 32, 48, 64, 96, 128, 160, 192, 224, 255]), PATCHES):
        due = 0.0005 + PEAK_CD_M2 * (code / 255) ** GAMMA
        true = max(0.0, share * (1 + spread * random.standard_normal())) * due + extra_cd_m2
        expected = from_response(due, same_geometry=True, told="")
        wanted, last = 2, ""
        while wanted:
            taken += 1
            verdict = judge(expected, true + NOISE.sd(true) * random.standard_normal(), NOISE.sd(due))
            side = verdict if verdict in {"plausible", "too bright"} else "too dark"
            if side == "plausible":
                wanted, last = wanted - 1, ""
            elif side == last:
                return taken
            else:
                last = side
    return 0


def main(runs: int) -> None:
    """Print both tables."""
    print("A gate of k standard deviations, 100 readings:   one reading stops   two on one side stop")
    for k in (3.0, 4.0):
        one, two = 1 - (1 - 2 * tail(k)) ** 100, 1 - (1 - 2 * tail(k) ** 2) ** 100
        print(f"  k = {k:g} {100 * one:38.2g} % {100 * two:20.2g} %")
    print(f"\nThe gate of a run, {runs} runs of {2 * PATCHES} readings a line:")
    print(f"{'case':36} {'stopped %':>9} {'readings until then, median':>28}")
    random = np.random.default_rng(9)
    for case, (share, spread, extra) in CASES.items():
        ends = [stop_after(share, spread, extra, random) for _ in range(runs)]
        stopped = [end for end in ends if end]
        median = f"{np.median(stopped):.0f}" if stopped else "-"
        print(f"{case:36} {100 * len(stopped) / runs:>9.1f} {median:>28}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
