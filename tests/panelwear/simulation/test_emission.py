"""Mixture of sub-pixels against published matrices and worked numbers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from panelwear.colorimetry.basic import xy_of
from panelwear.colorimetry.cct import cct_duv
from panelwear.simulation.emission import Spot, code_response, drives, emission_of, primaries_xyz, xyz_of
from panelwear.simulation.model import PanelModel
from tests.references import value

D65 = (0.3127, 0.3290)
BT709 = ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06))
P3 = ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060))


def white_left(primaries: tuple[tuple[float, float], ...], left: tuple[float, float, float]) -> np.ndarray:
    model = PanelModel(
        primaries_xy=(primaries[0], primaries[1], primaries[2]), white_xy=D65, peak_cd_m2=1.0, black_cd_m2=0.0
    )
    spot = Spot(np.array([[*left, 1.0]]), np.zeros((1, 4)))
    return np.asarray(emission_of(model).light(np.ones((1, 3)), spot)[0])


def test_luminance_shares_of_bt709_match_the_published_matrix() -> None:
    record = value("NPM-sRGB")
    assert primaries_xyz(BT709, D65, 1.0)[:, 1] == pytest.approx(record["expected"], abs=1e-9)


def test_luminance_shares_of_bt2020_match_the_published_matrix() -> None:
    record = value("NPM-ITU-RBT.2020")
    bt2020 = ((0.708, 0.292), (0.170, 0.797), (0.131, 0.046))
    assert primaries_xyz(bt2020, D65, 1.0)[:, 1] == pytest.approx(record["expected"], abs=1e-9)


def test_luminance_shares_of_p3_match_the_worked_numbers() -> None:
    # SMPTE RP 431-2 primaries with D65, solved once with colour-science 0.4.7.
    assert primaries_xyz(P3, D65, 1.0)[:, 1] == pytest.approx([0.22897, 0.69174, 0.07929], abs=1e-5)


# White after the channels kept these shares; solved with colour-science 0.4.7 (additive mixture, Ohno 2013 CCT).
@pytest.mark.parametrize(
    ("primaries", "left", "xy", "cct_K"),
    [
        (BT709, (0.93, 0.92, 0.88), (0.3163, 0.3337), 6284),
        (P3, (0.93, 0.92, 0.88), (0.3168, 0.3341), 6257),
        (BT709, (1.0, 0.97, 0.95), (0.3162, 0.3312), 6305),
        (BT709, (0.95, 1.0, 1.0), (0.3092, 0.3290), 6697),
        (BT709, (1.0, 0.95, 1.0), (0.3130, 0.3236), 6533),
    ],
)
def test_white_moves_as_the_channels_wear(
    primaries: tuple[tuple[float, float], ...], left: tuple[float, float, float], xy: tuple[float, float], cct_K: float
) -> None:
    white = white_left(primaries, left)
    assert xy_of(white) == pytest.approx(xy, abs=6e-5)
    # Half a kelvin of rounding, and up to 1.5 K between variants of the same method.
    assert float(cct_duv(white)[0]) == pytest.approx(cct_K, abs=2.0)


def test_common_fading_leaves_the_white_point_alone() -> None:
    white = white_left(BT709, (0.95, 0.95, 0.95))
    assert xy_of(white) == pytest.approx(D65, abs=1e-12)
    assert white[1] == pytest.approx(0.95)


@pytest.mark.parametrize(("white_share", "additivity"), [(0.0, 1.0), (0.7, 1.0), (0.7, 1.4), (0.0, 0.98)])
def test_a_white_sub_pixel_sets_additivity_and_keeps_peak_and_white_point(
    white_share: float, additivity: float
) -> None:
    model = PanelModel(white_share=white_share, additivity=additivity, black_cd_m2=0.0)
    emission = emission_of(model)
    fresh = Spot(np.ones((4, 4)), np.zeros((4, 4)))
    light = emission.light(np.array([[1, 1, 1], [1, 0, 0], [0, 1, 0], [0, 0, 1.0]]), fresh)
    assert light[0, 1] == pytest.approx(model.peak_cd_m2)
    assert light[0, 1] / light[1:, 1].sum() == pytest.approx(additivity)
    assert xy_of(light[0]) == pytest.approx(model.white_xy)


def test_a_worn_white_sub_pixel_shows_in_white_only() -> None:
    model = replace(PanelModel(white_share=0.8), additivity=1.2)
    emission = emission_of(model)
    fresh, worn = (Spot(np.array([[1, 1, 1, w]]), np.zeros((1, 4))) for w in (1.0, 0.9))
    red, white = np.array([[1.0, 0, 0]]), np.ones((1, 3))
    assert emission.light(red, worn) == pytest.approx(emission.light(red, fresh))
    assert emission.light(white, worn)[0, 1] < 0.95 * emission.light(white, fresh)[0, 1]


def test_tristimulus_of_d65_matches_the_published_white() -> None:
    record = value("XYZ-D65")
    assert xyz_of(D65, 100.0) == pytest.approx(record["expected"], abs=1e-6)


@pytest.mark.parametrize("gamma", [1.8, 2.2, 2.6])
@pytest.mark.parametrize("s_shape", [0.0, 0.3, 0.9])
def test_code_response_rises_strictly_from_zero_to_one(gamma: float, s_shape: float) -> None:
    curve = code_response(gamma, s_shape)
    assert curve[0] == 0.0
    assert curve[255] == pytest.approx(1.0)
    assert (np.diff(curve) > 0).all()


def test_one_code_near_mid_grey_is_the_published_step() -> None:
    record = value("BAND-8BIT")
    curve = code_response(2.2)
    assert curve[129] / curve[128] - 1 == pytest.approx(0.01727, abs=1e-5)
    assert record["expected"] == pytest.approx(curve[129] / curve[128] - 1, abs=1e-6)


def test_an_s_shape_steepens_the_middle_and_flattens_the_ends() -> None:
    plain, bent = code_response(2.2), code_response(2.2, 0.3)
    middle = np.log(bent[150] / bent[110]) / np.log(plain[150] / plain[110])
    top = np.log(bent[255] / bent[235]) / np.log(plain[255] / plain[235])
    assert middle > 1.1
    assert top < 0.8


def test_an_impossible_s_shape_is_refused() -> None:
    with pytest.raises(ValueError, match="s_shape is 1; allowed are 0 up to below 1"):
        code_response(2.2, 1.0)


def test_a_fractional_code_mixes_the_light_of_its_neighbours() -> None:
    curves = np.stack([code_response(2.2)] * 3)
    mixed = drives(curves, (128.4375, 255, 0))
    assert mixed[0] == pytest.approx(curves[0, 128] + 0.4375 * (curves[0, 129] - curves[0, 128]))
    assert mixed[1:] == pytest.approx([1.0, 0.0])
