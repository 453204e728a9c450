"""Contrasts of zones in maps whose changes are known: right, and within their uncertainty as often as they say."""

from __future__ import annotations

import numpy as np
import pytest

from panelwear.camera.synthetic import MadeNoise, correlated_noise, synthetic_map
from panelwear.camera.wear.cells import EDGE, NOBODY, mask_of, owners, rect_of, whole_cells
from panelwear.camera.wear.contrast import contrast
from panelwear.camera.wear.noise import MapNoise, noise_of, u_of_sum
from panelwear.camera.wear.pairing import ChangeMap, pair_maps
from panelwear.camera.wear.surround import surround_of
from patterns.frame import Rect
from sequences.model import Zone

PX = (1280, 720)
ZONES = (
    Zone("chart", Rect(0, 0, 1280, 720), (600, 300)),
    Zone("list", Rect(0, 0, 256, 720), (100, 300), "chart"),
    Zone("badge", Rect(1000, 40, 160, 80), (1080, 80), "chart"),
    Zone("patch", Rect(500, 300, 120, 100), (560, 350), "chart"),
)


def change(rect: Rect, size: float, noise: MadeNoise, seed: int) -> ChangeMap:
    then = synthetic_map((), noise, seed=2 * seed, panel_px=PX, texture_seed=1)
    now = synthetic_map(((rect, size),), noise, seed=2 * seed + 1, panel_px=PX, texture_seed=1)
    return pair_maps([then], [now]).changes[0]


@pytest.mark.parametrize("zone", [1, 2, 3])
@pytest.mark.parametrize("slow", [0.0, 0.01])
def test_the_change_of_a_zone_lies_within_its_uncertainty_as_often_as_stated(zone, slow):
    owner = owners(PX, ZONES)
    cells = surround_of(zone, ZONES, owner)
    assert cells is not None and cells.against == "reference"
    off = []
    for seed in range(60):
        one = change(ZONES[zone].rect, -0.01, MadeNoise(0.003, 1.0, slow=slow), seed)
        found = contrast(one, cells.inside, cells.around, ("x", "x"))
        off.append((found.value + 1.0) / found.u)
    # 60 draws of a standard normal: their standard deviation lies within 0.76 and 1.24 in 99 %, their mean within 0.33.
    assert abs(np.mean(off)) < 0.45 and np.std(off) < 1.3
    assert slow > 0 or np.std(off) > 0.7


def test_a_far_zone_is_less_certain_where_the_map_has_slow_gradients():
    one = change(ZONES[3].rect, 0.0, MadeNoise(0.0005, 1.0, slow=0.02), 3)
    far, near = (mask_of(one.change.shape, slice(100, 130), slice(c, c + 30)) for c in (20, 230))
    zone = mask_of(one.change.shape, slice(100, 130), slice(270, 300))
    us = [contrast(one, zone, other, ("x", "x")).u for other in (near, far)]
    assert us[1] > 3 * us[0]


def test_the_uncertainty_of_a_sum_is_what_drawn_sums_scatter_by():
    rng = np.random.default_rng(2)
    weights = np.zeros((60, 60))
    weights[20:30, 25:32] = 1 / 70
    drawn = [float((weights * correlated_noise((60, 60), 1.5, rng)).sum()) for _ in range(400)]
    assert u_of_sum(weights, np.ones((60, 60)), 1.5) == pytest.approx(np.std(drawn), rel=0.11)  # 3 u of 400 draws


@pytest.mark.parametrize("sigma", [0.0, 1.0, 2.0])
def test_noise_and_its_correlation_are_found_in_the_map_where_more_than_stated(sigma):
    values = 0.004 * correlated_noise((270, 480), sigma, np.random.default_rng(5))
    u, every = np.full(values.shape, 0.002), np.ones(values.shape, bool)
    found = noise_of(values, u, every, 0.0)
    assert found.scale == pytest.approx(2.0, rel=0.03)
    assert found.correlation_cells == pytest.approx(sigma, abs=0.1)
    assert noise_of(values / 4, u, every, 3.0) == MapNoise(1.0, 3.0)


def test_cells_belong_to_the_zone_on_top_and_shared_ones_to_none():
    owner = owners(PX, (*ZONES, Zone("over", Rect(500, 300, 60, 50), (530, 320), "chart")))
    rows, columns = whole_cells(PX, Rect(500, 300, 60, 50))
    assert (owner[rows, columns] == 4).all()
    assert owner[0, 0] == 1 and owner[200, 300] == 0
    assert (owner == EDGE).any() and not (owner == NOBODY).any()
    inside = rect_of(PX, rows, columns)
    assert inside.x >= 499 and inside.right <= 561 and inside.w >= 57


def test_a_zone_whose_reference_is_far_is_compared_with_its_surround():
    zones = (Zone("there", Rect(0, 0, 100, 100), (50, 50)), Zone("here", Rect(800, 400, 200, 150), (900, 470), "there"))
    cells = surround_of(1, zones, owners(PX, zones))
    assert cells is not None and cells.against == "surround"
    assert cells.said("there") == "its surround ('there' is far)"
    full = (Zone("there", Rect(0, 0, 100, 720), (50, 50)), Zone("here", Rect(100, 0, 1180, 720), (900, 470), "there"))
    beside = surround_of(1, full, owners(PX, full))
    assert beside is not None and beside.against == "reference"
    everything = (Zone("all", Rect(0, 0, *PX), (600, 300), "gone"),)
    assert surround_of(0, everything, owners(PX, everything)) is None
