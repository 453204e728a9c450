"""The bench that attacks comparisons does to the readings what it says, and counts what comes of it."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest

from benchmarks.attacks import drawn_state, evidence, one_panel, outcome
from benchmarks.comparison_power import Altered
from benchmarks.fast_panel.readings import read_plan
from benchmarks.support.attacked_plans import SHORT, TEN_ZONES, plan_named, ten_zones
from benchmarks.support.attacks import ATTACKS, Attack, filters, gains, nothing
from panelwear.readings.table import ReadingTable

FAR = Attack("far", plan=SHORT)


@pytest.fixture(scope="module")
def read() -> ReadingTable:
    return read_plan(plan_named(SHORT), drawn_state(1), seed=1)


def _of(table: ReadingTable, hue: str) -> ReadingTable:
    return table.where(np.char.find(table.patch, f"/{hue}/") >= 0)


def test_a_filter_errs_on_each_primary_by_itself(read: ReadingTable) -> None:
    moved = filters(0.01)(read, np.random.default_rng(3), 0)
    each = np.stack([_of(moved, h).Y / _of(read, h).Y for h in ("red", "green", "blue")])
    assert np.ptp(each, axis=1).max() < 1e-12
    assert np.ptp(each[:, 0]) > 0.002
    lights = np.array([_of(read, h).Y.mean() for h in ("red", "green", "blue")])
    white = (moved.Y / read.Y)[np.char.find(read.patch, "loading") >= 0]
    assert white == pytest.approx((each[:, 0] * lights).sum() / lights.sum(), rel=5e-4)  # lights of single readings


def test_gains_move_all_patches_alike(read: ReadingTable) -> None:
    moved = gains(0.01)(read, np.random.default_rng(3), 0)
    assert np.ptp(moved.XYZ / read.XYZ, axis=0).max() < 1e-12


def test_ten_zones_do_not_overlap_and_all_are_read() -> None:
    plan = plan_named(TEN_ZONES)
    zones = [z for z in ten_zones() if z.reference]
    assert len(zones) == 10
    assert {p.place for p in plan.patches if p.purpose == "zone"} == {z.name for z in ten_zones()}
    small = [z.rect for z in zones if z.name.startswith("berth-")]
    assert all(a.right <= b.x for a, b in itertools.pairwise(small))


def test_a_panel_that_lost_a_tenth_is_told_from_one_that_did_not() -> None:
    state = drawn_state(2)
    before, same = (evidence(FAR, state, 2, number) for number in (0, 1))
    dimmer = evidence(FAR, Altered(state, lambda x, _: np.full((len(x), 4), 0.9)), 2, 1)
    assert "white.Y" in outcome(before, dimmer).changed
    assert "white.Y" not in outcome(before, same).changed


def test_a_changed_setting_is_called_changed_and_warned_of() -> None:
    setting = next(a for a in ATTACKS if a.name.startswith("setting"))
    tally = one_panel(replace(setting, plan=SHORT), 4, ())["unchanged"]
    assert (tally.pairs, tally.wrong, tally.warned) == (1, 1, 1)
    assert tally.held / tally.asked > 0.8


def test_every_case_has_a_name_of_its_own() -> None:
    assert len({a.name for a in ATTACKS}) == len(ATTACKS)
    assert [a.name for a in ATTACKS if a.do is nothing and a.plan != "checkpoint"] == [
        "independent noise, short sequence", "independent noise, ten zones",
    ]  # fmt: skip
