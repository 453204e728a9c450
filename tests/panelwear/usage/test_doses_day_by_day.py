"""Doses against a reckoning that goes day by day and asks of every single day what was told of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from panelwear.compare.comparison import End
from panelwear.folder.hours import HoursOfUse
from panelwear.folder.panel import Panel
from panelwear.panel.assumed import assumed_response
from panelwear.simulation.usage import harbour_desk_zones
from panelwear.usage.doses import doses_of
from panelwear.usage.records import parse_usage

BEGAN = date(2026, 1, 1)
DAYS = 300
PEAK = 240.0
EXPONENT = 1.7
ZONES = ("clock-badge", "vessel-list", "")
PANEL = Panel(Path(), "harbour-desk", 1280, 720, (597.0, 336.0), 60, 600, zones=harbour_desk_zones(1280, 720))
SOME = replace(PANEL, zones=tuple(zone for zone in PANEL.zones if zone.name in ZONES))

Told = dict[str, Any]


def day(number: int) -> str:
    return (BEGAN + timedelta(days=number)).isoformat()


def drawn(rng: np.random.Generator) -> list[tuple[int, int, Told]]:
    """Draw stretches: first day, the day after the last, and what is told of them; each tells some keys only."""
    found = []
    for _ in range(int(rng.integers(1, 6))):
        begin = int(rng.integers(0, DAYS - 20))
        told: Told = {}
        if rng.random() < 0.5:
            told["hours_a_day"] = float(rng.integers(1, 20))
        if rng.random() < 0.5:
            told["white_cd_m2"] = float(rng.integers(80, 300))
        zones = [zone for zone in ZONES if rng.random() < 0.4]
        told["content"] = [{"zone": zone, "light": [float(rng.uniform(0.1, 1))] * 3} for zone in zones]
        found.append((begin, int(rng.integers(begin + 1, DAYS + 1)), told))
    return found


def by_day(stretches: list[tuple[int, int, Told]], zone: str) -> list[tuple[float | None, float | None, float | None]]:
    """Return hours, brightness and light of a zone for each day: the uppermost that tells; nothing where none does."""
    found = []
    for number in range(DAYS):
        over = [told for begin, end, told in reversed(stretches) if begin <= number < end]
        hours = next((told["hours_a_day"] for told in over if "hours_a_day" in told), None)
        white = next((told["white_cd_m2"] for told in over if "white_cd_m2" in told), None)
        light = None
        for told in over:
            parts = {one["zone"]: one["light"][0] for one in told["content"]}
            if zone in parts or "" in parts:
                light = parts.get(zone, parts.get(""))
                break
        found.append((hours, white, light))
    return found


def filled(values: list[float | None]) -> list[float | None]:
    """Fill what is not there from the nearest day before, else from the first that has it."""
    last = next((one for one in values if one is not None), None)
    found = []
    for one in values:
        last = last if one is None else one
        found.append(last)
    return found


@pytest.mark.parametrize("seed", range(40))
def test_doses_are_those_of_every_day_by_itself(seed: int) -> None:
    rng = np.random.default_rng(seed)
    stretches = drawn(rng)
    at = [0, *sorted(rng.choice(np.arange(20, DAYS), 2, replace=False).tolist()), DAYS]
    counted = np.concatenate([[0.0], np.cumsum(rng.uniform(50, 900, 3))])
    ends = [End(f"c{n}", float(hours), day(number), HoursOfUse(float(hours)))
            for n, (number, hours) in enumerate(zip(at, counted, strict=True))]  # fmt: skip
    usage = parse_usage(
        {"stretches": [
            {"since": day(begin), "until": day(end), **{k: v for k, v in told.items() if k != "content"},
             "content": [{k: v for k, v in one.items() if v != ""} for one in told["content"]]}
            for begin, end, told in stretches
        ]}
    )  # fmt: skip

    response = assumed_response({"kind": "power", "gamma": 2.2, "peak_cd_m2": PEAK})
    doses = {(one.zone, one.channel): one for one in doses_of(usage, SOME, response, ends)}

    for zone in ZONES:
        hours, white, light = (filled(list(column)) for column in zip(*by_day(stretches, zone), strict=True))
        if light[0] is None:
            assert (zone, "red") not in doses
            continue
        wanted = [0.0]
        for (before, after), count in zip(pairwise(at), np.diff(counted), strict=True):
            weights = [hours[n] or 1.0 for n in range(before, after)]
            rates = [((light[n] or 0.0) * (white[n] or PEAK) / 120) ** EXPONENT for n in range(before, after)]
            wanted.append(wanted[-1] + float(count) * float(np.average(rates, weights=weights)))
        assert doses[zone, "red"].hours == pytest.approx(wanted, rel=1e-9)
