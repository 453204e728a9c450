"""What is read of a panel in each case of ``benchmarks.attacks``."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import cache

from benchmarks.comparison_power import HEIGHT, WIDTH, patches_for, plan_for
from benchmarks.fast_panel.readings import FastPatch, Plan, plan_of
from panelwear.simulation.usage import ACTIVE_AREA_MM, harbour_desk_zones
from patterns.frame import Rect
from sequences.model import Zone

CHECKPOINT, SHORT, TEN_ZONES = "checkpoint", "short", "ten zones"


@cache
def plan_named(name: str) -> Plan:
    """Return the shipped full inspection, the shipped short one, or the full one with ten zones after it."""
    if name == CHECKPOINT:
        return plan_for()
    if name == SHORT:
        return plan_of(_five(patches_for("spot", harbour_desk_zones(WIDTH, HEIGHT))), ACTIVE_AREA_MM)
    centre = tuple(p for p in plan_for().patches if p.purpose != "zone")
    visits, steps = max(p.visit for p in centre), max(p.step for p in centre)
    zones = [p for p in patches_for("zones", ten_zones()) if p.purpose in {"zone", "reference"}]
    later = [replace(p, visit=p.visit + visits, step=p.step + steps) for p in zones]
    return plan_of([*centre, *_five(later)], ACTIVE_AREA_MM)


def _five(patches: Iterable[FastPatch]) -> list[FastPatch]:
    return [replace(p, reads=5, rule=None) for p in patches]


def ten_zones() -> tuple[Zone, ...]:
    """Return the scenario's three wide zones and seven more in a row across the chart, all against the chart."""
    known = [z for z in harbour_desk_zones(WIDTH, HEIGHT) if z.name != "route-line"]
    size = round(0.1 * WIDTH), round(0.14 * HEIGHT)
    row = [Rect(round((0.21 + 0.112 * i) * WIDTH), round(0.22 * HEIGHT), *size) for i in range(7)]
    return (*known, *(Zone(f"berth-{i}", rect, rect.centre, "chart") for i, rect in enumerate(row, start=1)))
