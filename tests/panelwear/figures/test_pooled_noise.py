"""The noise of one reading, for patches that were read too seldom to tell their own."""

import math

import numpy as np
import pytest

from panelwear.figures.checkpoint import of_checkpoint
from panelwear.uncertainty.meter import MeterTerms
from tests.panelwear.figures.handmade import Bench

QUIET = MeterTerms(session_scale=0.0, session_xy=0.0, session_filters=0.0, placement=0.0, dark_noise_cd_m2=0.0)
NOISE = 0.002


def evening(seed: int, n: int, reference: int = 5) -> Bench:
    bench = Bench(seed, noise=NOISE)
    bench.put()
    for code in range(16, 256, 16):
        bench.read("reference/centre/grey/c128/w10", "reference", 60.0, n=reference)
        bench.read(f"ramp/centre/grey/c{code}/w10", "ramp", 1.2 * code, n=n)
    bench.read("white/centre/grey/c255/w10", "white", 300.0, n=n)
    bench.read("reference/centre/grey/c128/w10", "reference", 60.0, n=reference)
    return bench


@pytest.mark.parametrize("n", [1, 2])
def test_few_readings_take_the_scatter_of_all_others(n):
    found = [of_checkpoint(evening(seed, n).table(), QUIET)["white.Y"] for seed in range(6)]
    parts = [next(c for c in one.components if c.name == "repeatability") for one in found]
    assert [p.u / 300 for p in parts] == pytest.approx([NOISE / math.sqrt(n)] * 6, rel=0.35)
    # Their own scatter would have left one degree of freedom, or none.
    assert min(p.dof for p in parts) > 50
    assert {p.kind for p in parts} == {"A"}


def test_where_all_was_read_once_the_reference_tells_the_noise():
    found = [of_checkpoint(evening(seed, 1, reference=1).table(), QUIET) for seed in range(8)]
    parts = [next(c for c in one["white.Y"].components if c.name == "repeatability") for one in found]
    whole = [math.hypot(p.u, next((c.u for c in one["white.Y"].components if c.name == "drift"), 0.0)) / 300
             for p, one in zip(parts, found, strict=True)]  # fmt: skip
    assert 0.7 * NOISE < np.median(whole) < 1.6 * NOISE


def test_five_readings_and_more_tell_their_own():
    bench = evening(1, 5)
    found = of_checkpoint(bench.table(), QUIET)["white.Y"]
    assert next(c for c in found.components if c.name == "repeatability").dof == pytest.approx(4)
