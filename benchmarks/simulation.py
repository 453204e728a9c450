"""What the simulation costs: light of a reading, checkpoints of the fast path. Run: python benchmarks/simulation.py."""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from benchmarks.fast_panel.readings import patches_of, plan_of, read_plan
from panelwear.panel.assumed import assumed_response
from panelwear.panel.resolve import LevelResolver
from panelwear.simulation.model import HARBOUR_DESK_PANEL, drawn_panel
from panelwear.simulation.panel import SimulatedPanel
from panelwear.simulation.probe import SimulatedProbe
from panelwear.simulation.usage import ACTIVE_AREA_MM, harbour_desk_zones
from patterns.raster import raster
from patterns.registry import build
from sequences import expand, reader
from sequences.model import PanelFacts

SIZE = (1280, 720)


def cost_ms(action: Callable[[], object], times: int) -> float:
    """Median cost of one call."""
    taken = []
    for _ in range(times):
        began = time.perf_counter()
        action()
        taken.append(time.perf_counter() - began)
    return 1000 * float(np.median(taken))


def light() -> list[tuple[str, float, str]]:
    state = SimulatedPanel().at(1000)
    pictures = [raster(build("window", *SIZE, codes=(c,) * 3, share=0.1)) for c in (180.0, 181.0)]
    for picture in pictures:
        picture.flags.writeable = False
    probe = SimulatedProbe(state, lambda: pictures[0])
    turn = iter(range(10**9))
    return [
        ("reading, same picture", cost_ms(lambda: probe(1.0), 300), "ms"),
        ("light of a new picture", cost_ms(lambda: state.light(pictures[next(turn) % 2], (640, 360)), 40), "ms"),
        ("light at a new place", cost_ms(lambda: state.light(pictures[0], (640 + next(turn) % 50, 360)), 40), "ms"),
    ]


def fast() -> list[tuple[str, float, str]]:
    facts = PanelFacts(*SIZE, ACTIVE_AREA_MM, zones=harbour_desk_zones(*SIZE))
    response = {"kind": "power", "gamma": 2.2, "peak_cd_m2": HARBOUR_DESK_PANEL.peak_cd_m2, "black_cd_m2": 0.002}
    resolver = LevelResolver(assumed_response(response))
    found = []
    for name in ("spot", "checkpoint"):
        steps = expand.expand(reader.load(name), facts, 1)
        began = time.perf_counter()
        plan = plan_of(patches_of(steps, *SIZE, resolver), ACTIVE_AREA_MM)
        found.append((f"{name}: plan of {len(plan.patches)} patches", 1000 * (time.perf_counter() - began), "ms"))
        seeds = iter(range(10**9))

        def one(plan: object = plan, seeds: object = seeds) -> None:
            seed = next(seeds)  # type: ignore[call-overload]
            state = SimulatedPanel(drawn_panel(seed)).at(1000)
            read_plan(plan, state, seed=seed)  # type: ignore[arg-type]

        each = cost_ms(one, 60)
        found += [(f"{name}: one drawn panel", each, "ms"), (f"{name}: a minute", 60000 / each, "checkpoints")]
    return found


if __name__ == "__main__":
    print(f"{'':<34}{'median':>10}")
    for what, value, unit in (*light(), *fast()):
        print(f"{what:<34}{value:>10.2f} {unit}")
