"""Filters that wander between sessions: what they move together, what each hue has to itself.

The x and y of primaries are held against draws of filters that err on each primary by themselves (numpy alone).
"""

import numpy as np
import pytest

from panelwear.uncertainty.filters import of_filters
from panelwear.uncertainty.meter import MeterTerms

METER = MeterTerms(session_filters=0.002)
RED, DIM_RED, GREEN, GREY = (61.0, 32.0, 1.1), (6.1, 3.2, 0.11), (38.0, 92.0, 9.0), (118.0, 124.0, 135.0)
HUES, LIGHTS = ("red", "red", "green", "grey"), np.array([RED, DIM_RED, GREEN, GREY])


def covariance(hues=HUES, lights=LIGHTS, meter=METER):
    """X, Y, Z of all patches against each other, ``(3k, 3k)``."""
    factor = of_filters(hues, lights, meter).reshape(3 * len(hues), -1)
    return factor @ factor.T


def xy(XYZ):
    return XYZ[..., :2] / XYZ.sum(axis=-1, keepdims=True)


@pytest.mark.parametrize("patch", [0, 2])
def test_x_and_y_of_a_primary_are_as_uncertain_as_filters_that_err_on_it_by_themselves_make_them(patch):
    rng = np.random.default_rng(5)
    drawn = xy(LIGHTS[patch] * (1 + 0.002 * rng.standard_normal((200_000, 3))))
    mine = slice(3 * patch, 3 * patch + 3)
    told = rng.multivariate_normal(LIGHTS[patch], covariance()[mine, mine], 200_000)
    assert xy(told).std(axis=0) == pytest.approx(drawn.std(axis=0), rel=0.02)


def test_luminance_of_each_channel_errs_on_its_own_and_white_not_at_all():
    of_Y = covariance()[1::3, 1::3]
    assert np.sqrt(np.diag(of_Y)) == pytest.approx([0.064, 0.0064, 0.184, 0.0])
    assert of_Y[0, 2] == 0


def test_patches_of_one_hue_keep_their_ratio():
    (bright, dim), whole = LIGHTS[:2], covariance()
    relative = np.hstack([np.diag(1 / bright), -np.diag(1 / dim), np.zeros((3, 6))])
    assert relative @ whole @ relative.T == pytest.approx(np.zeros((3, 3)), abs=1e-15)


def test_greys_share_the_gains_of_X_and_Z_unless_x_and_y_were_measured_to_wander():
    whole = covariance(("grey", ""), LIGHTS[[3, 3]])
    assert np.sqrt(np.diag(whole)) == pytest.approx([0.236, 0, 0.27] * 2)
    assert whole[0, 3] == pytest.approx(whole[0, 0])
    measured = MeterTerms(session_filters=0.002, session_xy_dof=4)
    assert not covariance(("grey", ""), LIGHTS[[3, 3]], measured).any()
    assert np.diag(covariance(meter=measured))[:9] == pytest.approx(np.diag(covariance())[:9])
