"""Raster times of every pattern at 3840 x 2160: ``python benchmarks/pattern_raster.py [REPEATS]``.

The screen paints a frame's ``fills`` directly and never calls ``raster`` for them; these times are for digests,
tests, pictures and the simulated panel. ``plain copy`` is the floor: one copy of a ready picture.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from functools import partial

import patterns

WIDTH, HEIGHT = 3840, 2160
NEEDED: dict[str, dict[str, object]] = {
    "zone": {"rect": (400, 300, 1600, 900), "soft_px": 16},
    "title-card": {"panel": "harbour-desk", "hours": "1460 h", "date": "2026-02-03", "field": "grey 128"},
    "target": {"pitch_mm": (0.155, 0.155), "before_mm": (4, -3)},
}


def median_ms(action: Callable[[], object], repeats: int) -> float:
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        action()
        times.append(1000 * (time.perf_counter() - start))
    return statistics.median(times)


def main() -> None:
    repeats = int(sys.argv[1]) if len(sys.argv) > 1 else 9
    ready = patterns.raster(patterns.build("field", WIDTH, HEIGHT)).copy()
    print(f"{'pattern':<26}{'build ms':>10}{'raster ms':>11}{'fills':>7}   median of {repeats}, {WIDTH} x {HEIGHT}")
    print(f"{'plain copy':<26}{'':>10}{median_ms(ready.copy, repeats):>11.1f}")
    mixed: dict[str, object] = {"codes": (128.4375, 128.4375, 128.4375)}
    jobs: list[tuple[str, str, dict[str, object]]] = [(name, name, NEEDED.get(name, {})) for name in patterns.names()]
    jobs += [("field, colour", "field", {"codes": (255.0, 0.0, 0.0)}), ("field, spatial mix", "field", mixed)]
    jobs += [("window with surround", "window", {"surround_mean_code": 120, "collar_px": 120})]
    for label, name, parameters in jobs:
        build = _builder(name, parameters)
        frame = build()
        raster_ms = median_ms(partial(patterns.raster, frame), repeats)
        print(f"{label:<26}{median_ms(build, repeats):>10.1f}{raster_ms:>11.1f}{len(frame.fills):>7}")


def _builder(name: str, parameters: dict[str, object]) -> Callable[[], patterns.Frame]:
    return lambda: patterns.build(name, WIDTH, HEIGHT, **parameters)  # type: ignore[arg-type]


if __name__ == "__main__":
    main()
