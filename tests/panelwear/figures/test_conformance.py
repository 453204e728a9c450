"""How far a grey ramp lies from a stated gamma and from the display function."""

import numpy as np
import pytest

from panelwear.colorimetry.gsdf import index_of, luminance_of
from panelwear.figures.checkpoint import of_checkpoint
from panelwear.figures.record_facts import RecordFacts
from panelwear.uncertainty.meter import MeterTerms
from tests.panelwear.figures.handmade import Bench

NOTHING = MeterTerms(session_scale=0, session_xy=0, placement=0, dark_noise_cd_m2=0)
CODES = np.linspace(0, 255, 18)
"""The 18 levels of AAPM TG18's luminance response."""


def figures(light, codes=CODES, noise=0.0, gamma=2.2):
    bench = Bench(1, noise=noise)
    bench.put()
    for code, Y in zip(codes, light, strict=True):
        bench.read(f"ramp/centre/grey/c{code:g}/w10", "ramp", float(Y), codes=(code,) * 3)
    return of_checkpoint(bench.table(), NOTHING, record=RecordFacts(gamma=gamma))


def following(gamma, low=0.5, high=400.0):
    return low + (high - low) * (CODES / 255) ** gamma


def test_a_gamma_of_2_2_from_half_to_400_lies_54_percent_off_the_display_function():
    # Worked out apart from the program for 0.5 to 400 cd/m² in 18 levels: up to 54 % (from DICOM PS3.14, 7.1, and the
    # contrast of AAPM TG18); black included, as a level of its own.
    light = following(2.2)
    found = figures(light[1:], CODES[1:])
    j = index_of([light[1], light[-1]])
    J = j[0] + (CODES[1:] - CODES[1]) / (255 - CODES[1]) * (j[1] - j[0])
    G = luminance_of(J)
    own = np.diff(light[1:]) / (light[2:] + light[1:-1]) / (np.diff(G) / (G[1:] + G[:-1])) - 1
    worst = own[np.argmax(np.abs(own))]
    assert found["gsdf.error_max"].value == pytest.approx(100 * worst, rel=1e-3)
    assert found["gsdf.error_mean"].value == pytest.approx(100 * np.abs(own).mean(), rel=1e-3)


def test_one_level_wrong_by_one_percent_is_some_three_percent_in_contrast():
    light = luminance_of(np.linspace(*index_of([0.5, 400.0]), 17))
    straight = figures(light, CODES[1:])
    assert abs(straight["gsdf.error_max"].value) < 1e-3
    light[8] *= 1.01
    found = figures(light, CODES[1:])["gsdf.error_max"]
    assert 2.5 < abs(found.value) < 4.5
    assert "drive levels 135 to 150" in found.caption


@pytest.mark.parametrize("stated", [2.2, 2.4])
def test_errors_are_against_the_gamma_that_is_stated(stated):
    found = figures(following(2.2, low=0.0)[1:], CODES[1:], gamma=stated)
    off = 100 * ((CODES[1:-1] / 255) ** (2.2 - stated) - 1)
    assert found["gamma.error_mean"].value == pytest.approx(np.abs(off).mean(), abs=1e-6)
    assert found["gamma.error_max"].value == pytest.approx(off[np.argmax(np.abs(off))], abs=1e-6)
    assert f"gamma {stated:g}" in found["gamma.error_max"].caption


def test_noise_stands_in_the_uncertainty():
    found = figures(following(2.2)[1:], CODES[1:], noise=0.002)
    assert 0.05 < found["gamma.error_max"].u < 0.5
    assert 0.02 < found["gsdf.error_max"].u < 0.5


def test_three_levels_or_no_white_say_nothing():
    assert "gsdf.error_max" not in figures(following(2.2)[-3:], CODES[-3:])
    assert "gamma.error_max" not in figures(following(2.2)[1:-1], CODES[1:-1])
