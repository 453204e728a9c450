"""Every figure's uncertainty against a Monte Carlo over the same causes of uncertainty (JCGM 101)."""

from dataclasses import fields, replace

import numpy as np
import pytest

from panelwear.figures.evidence import Evidence, evidence_of
from panelwear.figures.registry import all_figures
from panelwear.uncertainty.meter import MeterTerms
from panelwear.uncertainty.propagate import COARSE_STEP, FINE_STEP, simulate
from tests.panelwear.figures.handmade import Bench

DRAWS = 20000
METER = MeterTerms(
    calibration_scale=0.01,
    calibration_xy=0.0005,
    session_scale=0.004,
    linearity_per_decade=0.002,
    placement=0.002,
    placement_xy=0.0001,
    resolution_cd_m2=0.001,
    zero_cd_m2=0.0005,
)


class Recording(Evidence):
    """A session that keeps what it was asked."""

    asked: list = []  # noqa: RUF012 - one list for the one test that uses it

    def estimates(self, told, means, function, step=FINE_STEP):
        found = super().estimates(told, means, function, step)
        self.asked.append((found, means, function, step))
        return found


def recorded() -> list:
    bench = Bench(3, noise=0.0015, dark_noise=0.002, drift=lambda t: 0.003 * np.exp(-t / 200))
    bench.put()
    bench.read("field/centre/grey/c0/full", "black", 0.3, n=8)
    for code in (32, 64, 128, 192, 255):
        bench.read("reference/centre/grey/c128/w10", "reference", 66.0)
        bench.read(
            f"ramp/centre/grey/c{code}/w10", "ramp", 0.3 + 299.7 * (code / 255) ** 2.2, (0.3127, 0.31 + code / 2e4)
        )
    for hue, Y, xy in (("red", 63.8, (0.64, 0.33)), ("green", 214.5, (0.3, 0.6)), ("blue", 21.7, (0.15, 0.06))):
        bench.read(f"primary/centre/{hue}/c255/w10", "primary", Y, xy)
    for share, Y in ((1, 310), (10, 300), (50, 250), (100, 220)):
        bench.read(f"loading/centre/grey/c255/w{share}", "loading", Y)
    for name, Y in (("x100y500", 94.0), ("centre", 100.0), ("x900y500", 90.0)):
        bench.put()
        bench.read(f"grid/{name}/grey/c128/full", "grid", Y, (0.31 + Y / 5e3, 0.33))
    for place, Y, pair in (("badge", 51.0, 1), ("chart", 50.0, 2), ("chart", 50.0, 3), ("badge", 51.0, 4)):
        bench.put()
        bench.read(f"zone/{place}/grey/c128/full", "zone", Y, pair=f"badge.{pair}")
    plain = evidence_of(bench.table(), METER)
    evidence = Recording(**{f.name: getattr(plain, f.name) for f in fields(Evidence) if f.init})
    Recording.asked.clear()
    for _, figure in all_figures():
        figure(evidence)
    return [(evidence, *call) for call in Recording.asked]


@pytest.mark.slow
def test_linear_propagation_agrees_with_monte_carlo_within_3_percent_for_every_figure():
    compared = set()
    for evidence, estimates, means, function, step in recorded():
        if step == COARSE_STEP:
            continue  # colour temperature has its own test, with fewer draws
        # Degrees of freedom do not enter the standard uncertainty itself.
        sources = [replace(source, dof=np.inf) for source in evidence.stack(means).causes.sources]
        drawn = simulate(function, np.stack([m.XYZ for m in means]), sources, DRAWS, seed=11)
        for column, estimate in zip(drawn.T, estimates, strict=True):
            if estimate.name.startswith("gamut/bt709") and estimate.name.endswith("coverage"):
                continue  # every primary lies on the standard's own corner, where coverage has a kink and no slope
            assert column.std(ddof=1) == pytest.approx(estimate.u, rel=0.03), estimate.name
            compared.add(estimate.name.rpartition(".")[2].partition("/")[0])
    assert {"peak", "black", "contrast", "gamma", "Y", "x", "u_prime", "additivity", "loading"} <= compared
    assert {"du_prime", "min_over_max", "from_centre", "left_right", "spread", "duv_prime"} <= compared
