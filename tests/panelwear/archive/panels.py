"""Panel folders of the simulation for tests of many panels: small ones, made once a run."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from benchmarks.comparison_power import patches_for
from benchmarks.fast_panel.folders import HEIGHT, WIDTH, ZONES, plan_of_300, write_panels
from benchmarks.fast_panel.plan import Plan
from panelwear.simulation.usage import harbour_desk_zones

HOURS = (0.0, 2000.0, 4400.0)


@cache
def plan() -> Plan:
    """Return the plan of 300 readings, worked out once."""
    zones = tuple(z for z in harbour_desk_zones(WIDTH, HEIGHT) if z.name in ZONES)
    return plan_of_300(patches_for("checkpoint", zones))


def make(root: Path, count: int, hours: tuple[float, ...] = HOURS) -> Path:
    """Write panel folders ``panel-0001`` and on."""
    write_panels(root, plan(), range(1, count + 1), hours)
    return root
