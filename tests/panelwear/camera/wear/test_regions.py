"""Regions nobody named: found where they are, and not where nothing is."""

from __future__ import annotations

import numpy as np
import pytest

from panelwear.camera.synthetic import MadeNoise, correlated_noise, synthetic_map
from panelwear.camera.wear.background import flattened, half_sample_mode
from panelwear.camera.wear.cells import owners
from panelwear.camera.wear.pairing import ChangeMap, pair_maps
from panelwear.camera.wear.peaks import FORMING, EulerCounts, clusters_of
from panelwear.camera.wear.regions import adjusted, find_regions
from patterns.frame import Rect
from sequences.model import Zone

PX = (3840, 2160)
CHART = Zone("chart", Rect(0, 0, *PX), (1900, 1000))
DECENT = MadeNoise(0.003, 1.0)


def change(changes=(), noise=DECENT, seed=0) -> ChangeMap:
    maps = [synthetic_map(c, noise, seed=2 * seed + i, texture_seed=4) for i, c in enumerate(((), changes))]
    return pair_maps(maps[:1], maps[1:]).changes[0]


# Benjamini and Hochberg 1995, section 4.1: fifteen p values, from memory; at 5 % the first four are rejected.
BH_1995 = (
    0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.3240, 0.4262, 0.5719, 0.6528, 0.7590, 1.0
)  # fmt: skip


def test_the_false_discovery_rate_is_that_of_the_paper():
    assert sum(q <= 0.05 for q in adjusted(BH_1995)) == 4
    assert adjusted([]) == []


@pytest.mark.parametrize(
    ("rect", "size"),
    [
        (Rect(1001, 0, 38, 2160), -0.01),
        (Rect(0, 700, 3840, 22), -0.01),
        (Rect(803, 1203, 800, 104), -0.01),
        (Rect(0, 0, 768, 2160), -0.03),
    ],
    ids=["column", "row", "bar", "left fifth"],
)
def test_a_change_is_found_where_it_is(rect, size):
    (found, *more) = find_regions([change(((rect, size),))], ()).regions
    assert more == []
    one = found.rect
    edges = [one.x - rect.x, one.y - rect.y, one.right - rect.right, one.bottom - rect.bottom]
    assert max(map(abs, edges)) <= 16
    field, told = found.changes[0]
    assert field == "grey 20 cd/m²" and abs(told.value - 100 * size) < 3.5 * told.u
    assert found.fill > 0.6 and found.q < 0.05 and found.inside == ""


def test_a_known_zone_is_no_region_and_what_lies_inside_one_is_named():
    zones = (CHART, Zone("list", Rect(0, 0, 768, 2160), (300, 900), "chart"))
    noise = MadeNoise(0.003, 1.0, slow=0.01)
    list_only = change(((zones[1].rect, -0.03),), noise)
    assert find_regions([list_only], zones).regions == ()
    logo = Rect(200, 400, 240, 160)
    (found,) = find_regions([change(((zones[1].rect, -0.03), (logo, -0.045)), noise)], zones).regions
    assert found.inside == "list" and abs(found.rect.x - logo.x) <= 16
    assert found.changes[0][1].value == pytest.approx(100 * (0.955 / 0.97 - 1), abs=0.35)


def test_large_and_small_regions_are_found_together():
    wanted = (Rect(0, 0, 768, 2160), -0.03), (Rect(3200, 104, 400, 200), 0.01), (Rect(2800, 1504, 896, 496), -0.015)
    found = find_regions([change(wanted, MadeNoise(0.003, 1.0, slow=0.01))], ()).regions
    assert {(r.rect.x // 100, r.changes[0][1].value > 0) for r in found} >= {(0, False), (32, True)}
    assert any(abs(r.rect.x - 2800) <= 16 for r in found)


@pytest.mark.parametrize(
    "noise",
    [
        MadeNoise(0.003, 0.0), MadeNoise(0.003, 2.0), MadeNoise(0.003, 1.5, told_correlation=False),
        MadeNoise(0.003, 1.0, told_u=0.5), MadeNoise(0.003, 1.0, slow=0.01), MadeNoise(0.003, 1.0, hot_share=0.001),
        MadeNoise(0.002, 1.0, uneven=3.0),
    ],
    ids=["white", "correlated", "correlation not told", "half told", "slow", "hot cells", "uneven"],
)  # fmt: skip
def test_nothing_is_found_where_nothing_changed(noise):
    # 5 % a map at most: more than one of four by chance in 1.4 %.
    assert sum(bool(find_regions([change((), noise, seed)], ()).regions) for seed in range(4)) <= 1


def test_the_chance_of_a_cluster_is_that_of_simulated_maps():
    heights = np.array([3.5, 4.0])
    seen, told = np.zeros(2), np.zeros(2)
    for seed in range(12):
        rng = np.random.default_rng(seed)
        values = correlated_noise((270, 480), 0.0, rng)
        one = change()
        flat = flattened(one, owners(PX, ()), [])
        object.__setattr__(flat, "residual", values * flat.map.u)
        found = [c for c in clusters_of(flat) if c.widths == (3, 3)]
        seen += [(np.array([c.peak for c in found]) > z).sum() for z in heights]
        euler = EulerCounts.of(np.ones((270, 480), bool), (3, 3))
        told += [len(found) * euler.p(float(z)) for z in heights]
    assert (seen <= told + 3 * np.sqrt(told)).all() and (seen >= 0.5 * told - 3 * np.sqrt(told)).all()
    assert EulerCounts.of(np.ones((10, 10), bool), (3, 3)).p(FORMING) == 1.0


def test_the_densest_value_is_found_beside_many_others():
    rng = np.random.default_rng(0)
    assert half_sample_mode(np.concatenate([rng.normal(0, 0.1, 600), rng.normal(5, 0.1, 400)])) == pytest.approx(
        0, abs=0.2
    )
