"""How well the probe finds its place: learned from the readings."""

import numpy as np
import pytest

from panelwear.compare.placement import pooled, spread_of
from panelwear.figures.means import Placement
from panelwear.figures.session import session_of
from tests.panelwear.compare.panels import NOTHING, read
from tests.panelwear.figures.handmade import Bench

ZONES = {"list": -0.02, "badge": 0.03}


def spread(**more):
    return spread_of(session_of(read(zones=ZONES, **more), NOTHING).raw)


def test_the_spread_of_many_simulated_evenings_is_the_true_one():
    variances = []
    dof = 0.0
    for seed in range(60):
        found = spread(placement=0.002, noise=0.0005, seed=seed)
        variances.append(found.u**2 * found.dof)
        dof += found.dof
    # u² over so many degrees of freedom is known to sqrt(2 / dof), here 9 %.
    assert sum(variances) / dof == pytest.approx(0.002**2, rel=0.25)


def test_a_linear_drift_is_no_spread():
    assert spread(drift=lambda t: 3e-5 * t).u < 1e-4


def test_a_zone_that_fades_between_sittings_is_no_spread():
    bench = Bench()
    for sitting, contrast in enumerate((-0.03, -0.01), start=1):
        bench.sitting = sitting
        for place in ("list", "chart", "chart", "list"):
            bench.put()
            bench.read(f"zone/{place}/grey/c128/full", "zone", 66.0 * (1 + contrast * (place == "list")))
    assert spread_of(bench.table()).u < 1e-9


def test_places_visited_once_tell_nothing():
    bench = Bench()
    bench.put()
    bench.read("ramp/centre/grey/c128/w10", "ramp", 66.0)
    assert spread_of(bench.table()) is None
    assert spread_of(bench.table().where(np.zeros(5, dtype=bool))) is None


def test_pooling_weighs_by_degrees_of_freedom_and_halves_them_for_a_pair():
    found = pooled([Placement(0.001, 4, ""), Placement(0.003, 8, "")])
    assert found.u == pytest.approx(((4 * 0.001**2 + 8 * 0.003**2) / 12) ** 0.5)
    assert found.dof == 6
    assert pooled([Placement(0.001, 4, "")]).dof == 4
