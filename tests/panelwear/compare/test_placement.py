"""What the readings tell of the probe: how well it finds its place, and how it rounds."""

from dataclasses import replace

import numpy as np
import pytest

from panelwear.compare.comparing import comparison_of
from panelwear.figures.evidence import evidence_of
from panelwear.figures.means import Placement
from panelwear.figures.probe_spread import pooled, spread_of, step_of, with_step
from tests.panelwear.compare.panels import NOTHING, read, subject
from tests.panelwear.figures.handmade import Bench

ZONES = {"list": -0.02, "badge": 0.03}


def spread(**more):
    return spread_of(evidence_of(read(zones=ZONES, **more), NOTHING).raw)


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


def test_a_zone_that_fades_between_sessions_is_no_spread():
    bench = Bench()
    for session, contrast in enumerate((-0.03, -0.01), start=1):
        bench.session = session
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


@pytest.mark.parametrize("places", [0, 1, 2, 3])
def test_a_meter_that_rounds_is_given_its_step(places):
    table = read(noise=0.001)
    rounded = replace(table, Y=np.round(table.Y, places))
    assert step_of(rounded) == pytest.approx(10.0**-places)
    assert with_step(NOTHING, rounded).resolution_cd_m2 == pytest.approx(10.0**-places)
    assert with_step(replace(NOTHING, resolution_cd_m2=2.0), rounded).resolution_cd_m2 == 2.0


def test_a_meter_that_does_not_round_is_left_as_it_is():
    assert step_of(read(noise=0.001)) == 0
    assert with_step(NOTHING, read(noise=0.001)) == NOTHING


def test_a_rounding_meter_that_repeats_itself_does_not_look_perfect():
    # 300.4 and 299.6 cd/m² both read 300: half a step (0.29 cd/m², rectangular) is in uncertainty, and no less.
    tables = [replace(t, Y=np.round(t.Y)) for t in (read(scale=300.4 / 300), read(scale=299.6 / 300))]
    rows = {
        r.name: r for r in comparison_of([subject(t, str(i), float(i)) for i, t in enumerate(tables)]).pairs[0].rows
    }
    assert rows["white.Y"].change.step.u == pytest.approx(100 * (1 / 12) ** 0.5 / 300 * 2**0.5, rel=0.01)
    assert all(row.judged.verdict != "changed" for row in rows.values())
