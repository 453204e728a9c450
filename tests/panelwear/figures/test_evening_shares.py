"""A checkpoint read on several evenings: what the probe wanders by between them falls with their number."""

from datetime import timedelta

import numpy as np
import pytest

from panelwear.figures.evidence import Told, evidence_of
from panelwear.uncertainty.meter import MeterTerms
from tests.panelwear.figures.handmade import Bench

METER = MeterTerms(session_scale=0.005, session_xy=0.00025, session_filters=0.002, placement=0.0, dark_noise_cd_m2=0)
WHITE = "primary/centre/grey/c255/w10"
BLUE = "primary/centre/blue/c255/w10"


def read_on(pauses_h, noise=0.0):
    """Read white and blue in one session more than there are pauses."""
    bench = Bench(noise=noise)
    for number, pause_h in enumerate((0.0, *pauses_h), start=1):
        bench.session = number
        bench.started += timedelta(hours=pause_h)
        bench.put()
        bench.read(WHITE, "primary", 300.0)
        bench.read(BLUE, "primary", 20.0, (0.15, 0.06))
    return evidence_of(bench.table(), METER)


def parts(evidence, keys, function):
    means = [next(m for m in evidence.means if m.key == key) for key in keys]
    return {c.name: c.u for c in evidence.estimate(Told("f", "1", "f"), means, function).components}


def log_Y(XYZ):
    return np.log(XYZ[:, 0, 1])


@pytest.mark.parametrize(("pauses_h", "evenings"), [((), 1), ((1.0,), 1), ((24.0,), 2), ((24.0, 24.0, 2.0), 3)])
def test_the_scale_falls_with_the_root_of_the_evenings_not_of_the_sessions(pauses_h, evenings):
    evidence = read_on(pauses_h)
    assert len(set(evidence.evenings.values())) == evenings
    weights = np.bincount(list(evidence.evenings.values())) / (len(pauses_h) + 1)
    assert parts(evidence, [WHITE], log_Y)["session scale"] == pytest.approx(0.005 * np.sqrt((weights**2).sum()))
    x = parts(evidence, [WHITE], lambda XYZ: XYZ[:, 0, 0] / XYZ[:, 0].sum(axis=1))
    assert x["session chromaticity"] == pytest.approx(0.00025 * np.sqrt((weights**2).sum()), rel=1e-3)


def test_inside_one_evening_the_scale_still_drops_out_of_a_ratio_and_filters_stay():
    for evidence in (read_on(()), read_on((24.0,))):
        ratio = parts(evidence, [WHITE, BLUE], lambda XYZ: np.log(XYZ[:, 1, 1] / XYZ[:, 0, 1]))
        assert ratio.get("session scale", 0.0) < 1e-8
    assert ratio["session filters"] == pytest.approx(0.002 / np.sqrt(2), rel=1e-3)
