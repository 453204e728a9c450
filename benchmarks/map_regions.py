"""Print how often regions are found in maps of photographs: where nothing changed, and where a band did.

Run: .venv/bin/python benchmarks/map_regions.py [--maps 40] [--seed 1]

Maps are made up (``panelwear/camera/synthetic.py``), 480 x 270 cells; noise is that of one cell in one map, so a
quotient of two has 1.4 times as much. Intervals: Wilson, 95 %.
"""

from __future__ import annotations

import argparse
import math
import time

from panelwear.camera.synthetic import MadeNoise, synthetic_map
from panelwear.camera.wear.pairing import ChangeMap, pair_maps
from panelwear.camera.wear.regions import Region, find_regions
from patterns.frame import Rect

NULLS = {
    "white": MadeNoise(0.003, 0.0),
    "correlated over 1 cell": MadeNoise(0.003, 1.0),
    "over 2 cells": MadeNoise(0.003, 2.0),
    "over 4 cells": MadeNoise(0.003, 4.0),
    "over 1.5 cells, not told": MadeNoise(0.003, 1.5, told_correlation=False),
    "told at half": MadeNoise(0.003, 1.0, told_u=0.5),
    "growing threefold across": MadeNoise(0.002, 1.0, uneven=3.0),
    "slow gradients of 1 %": MadeNoise(0.003, 1.0, slow=0.01),
    "1 cell of 1000 off by 10 u": MadeNoise(0.003, 1.0, hot_share=0.001),
    "rows of 0.03 %, not told": MadeNoise(0.003, 1.0, row_noise=0.0003),
}
DECENT = MadeNoise(0.003, 1.0)
BANDS = {
    "column, 38 x 2160 px": Rect(1001, 0, 38, 2160),
    "row, 3840 x 22 px": Rect(0, 701, 3840, 22),
    "bar, 800 x 104 px": Rect(803, 1203, 800, 104),
    "tile, 384 x 216 px": Rect(1001, 403, 384, 216),
}
"""Each has 1 % of the panel's area."""
SIZES = (-0.01, -0.005)


def change(changes: tuple[tuple[Rect, float], ...], noise: MadeNoise, seed: int) -> ChangeMap:
    """Return a quotient of two made-up maps of one panel."""
    then = synthetic_map((), noise, seed=2 * seed, texture_seed=7)
    now = synthetic_map(changes, noise, seed=2 * seed + 1, texture_seed=7)
    return pair_maps([then], [now]).changes[0]


def wilson(hits: int, tries: int) -> tuple[float, float]:
    """Return the 95 % interval of a share in %."""
    z, p = 1.96, hits / tries
    middle = (p + z * z / (2 * tries)) / (1 + z * z / tries)
    half = z * math.sqrt(p * (1 - p) / tries + z * z / (4 * tries * tries)) / (1 + z * z / tries)
    return 100 * max(0.0, middle - half), 100 * min(1.0, middle + half)


def meets(a: Rect, b: Rect) -> bool:
    """Tell whether two rectangles share pixels."""
    return a.x < b.right and b.x < a.right and a.y < b.bottom and b.y < a.bottom


def nulls(maps: int, seed: int) -> None:
    print(f"| nothing changed, noise | any region, of {maps} | 95 % | ms a map |")
    print("|---|---|---|---|")
    for name, noise in NULLS.items():
        hits, spent = 0, 0.0
        for n in range(maps):
            one = change((), noise, seed * 100_000 + n)
            began = time.process_time()
            hits += bool(find_regions([one], ()).regions)
            spent += time.process_time() - began
        low, high = wilson(hits, maps)
        print(f"| {name} | {hits} | {low:.1f} to {high:.1f} % | {1000 * spent / maps:.0f} |", flush=True)


def bands(maps: int, seed: int) -> None:
    print(
        f"\n| 1 % of the area changed | by | found, of {maps} | edges off, worst median px | error, u of it | others |"
    )
    print("|---|---|---|---|---|---|")
    for name, rect in BANDS.items():
        for size in SIZES:
            found: list[Region] = []
            others = 0
            for n in range(maps):
                regions = find_regions([change(((rect, size),), DECENT, seed * 100_000 + n)], ()).regions
                there = [one for one in regions if meets(one.rect, rect)]
                found += there[:1]
                others += len(regions) > len(there)
            print(_line(name, rect, size, found, others), flush=True)


def _line(name: str, rect: Rect, size: float, found: list[Region], others: int) -> str:
    off = [[abs(o.rect.x - rect.x), abs(o.rect.right - rect.right), abs(o.rect.y - rect.y),
            abs(o.rect.bottom - rect.bottom)] for o in found]  # fmt: skip
    worst = max((sorted(side)[len(side) // 2] for side in zip(*off, strict=True)), default=math.nan)
    errors = [o.changes[0][1].value - 100 * size for o in found]
    us = [o.changes[0][1].u for o in found]
    rms = math.sqrt(sum(e * e for e in errors) / len(errors)) if errors else math.nan
    mean_u = sum(us) / len(us) if us else math.nan
    return f"| {name} | {100 * size:g} % | {len(found)} | {worst:g} | {rms:.3f}, {mean_u:.3f} % | {others} |"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--maps", type=int, default=40, help="maps a row (40)")
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    nulls(arguments.maps, arguments.seed)
    bands(arguments.maps, arguments.seed)


if __name__ == "__main__":
    main()
