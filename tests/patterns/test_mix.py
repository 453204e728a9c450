"""The spatial mix: exact over 64 x 64 pixels, dispersed below that, anchored to the screen."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmarks.support.rank_search import disc, worst_in_discs
from patterns import Rect, achievable, build, mix, raster
from patterns.mix import code_of, light_of, mix_map, rank_tile


def test_every_rank_occurs_once() -> None:
    tile = rank_tile()
    assert tile.shape == (64, 64)
    assert np.array_equal(np.sort(tile.ravel()), np.arange(4096))
    with pytest.raises(ValueError, match="read-only"):
        tile[0, 0] = 1


@given(st.integers(0, 254), st.integers(0, 4096), st.integers(0, 200), st.integers(0, 200))
def test_any_64_by_64_pixels_hold_the_exact_share(code: int, count: int, x: int, y: int) -> None:
    picture = mix((code + count / 4096,) * 3, Rect(x, y, 64, 64))
    assert int((picture[..., 0] - code).sum()) == count
    assert picture.min() >= code
    assert picture.max() <= code + 1


@given(st.floats(0, 255), st.floats(0, 255), st.floats(0, 255))
def test_any_code_is_met_to_half_a_rank(red: float, green: float, blue: float) -> None:
    picture = mix((red, green, blue), Rect(3, 5, 64, 64))
    assert picture.mean(axis=(0, 1)) == pytest.approx((red, green, blue), abs=0.5 / 4096 + 1e-9)


def test_the_mean_light_lies_that_share_of_the_way_between_two_codes() -> None:
    table = (np.arange(256) / 255) ** 2.2
    light = table[mix((128.4375,) * 3, Rect(17, 40, 64, 64))].mean()
    assert light == pytest.approx(table[128] + 0.4375 * (table[129] - table[128]), rel=1e-12)
    assert light_of(128.4375, 2.2) == pytest.approx(light, rel=1e-12)
    assert code_of(light, 2.2) == pytest.approx(128.4375, abs=1e-9)


@given(st.floats(0, 255), st.floats(1, 4))
def test_light_and_code_are_inverse(code: float, gamma: float) -> None:
    light = light_of(code, gamma)
    assert light_of(code_of(light, gamma), gamma) == pytest.approx(light, rel=1e-9, abs=1e-15)
    assert 0 <= code_of(light, gamma) <= 255


def test_an_eight_bit_step_near_mid_grey_is_coarse_and_a_rank_is_not() -> None:
    # One code at 128 with gamma 2.2: 1.73 % (2.2 / 128 and its curvature).
    step = light_of(129, 2.2) / light_of(128, 2.2) - 1
    assert step == pytest.approx(0.0173, abs=0.0001)
    assert light_of(128 + 1 / 4096, 2.2) / light_of(128, 2.2) - 1 == pytest.approx(step / 4096, rel=1e-6)


def test_a_zone_cannot_do_better_than_one_over_its_pixels() -> None:
    assert achievable(1) == 1
    assert achievable(346) == 1 / 346
    assert achievable(10**6) == 1 / 4096
    assert achievable(0) == 1
    # Seven pixels have only eight mean levels, whatever fraction is asked for.
    levels = {int(mix((n / 4096 * 1.0,) * 3, Rect(10, 10, 7, 1))[..., 0].sum()) for n in range(4096)}
    assert levels == set(range(8))


def test_the_grain_is_anchored_to_the_screen() -> None:
    codes = (100.3, 17.5, 200.9)
    whole = mix(codes, Rect(0, 0, 300, 200))
    part = mix(codes, Rect(71, 33, 100, 90))
    assert np.array_equal(part, whole[33:123, 71:171])
    frame = build("zone", 300, 200, codes=codes, rect=(71, 33, 100, 90))
    assert np.array_equal(raster(frame)[33:123, 71:171], part)
    assert np.array_equal(raster(build("field", 300, 200, codes=codes)), whole)


def test_a_grey_stays_grey_in_every_pixel() -> None:
    picture = mix((77.7, 77.7, 77.7), Rect(0, 0, 64, 64))
    assert (picture == picture[..., :1]).all()


def test_whole_codes_are_not_mixed() -> None:
    assert (mix((5, 6, 7), Rect(0, 0, 9, 9)) == (5, 6, 7)).all()
    assert (mix_map(np.array([255.0, 0.0, 254.99999]), Rect(0, 0, 64, 64)) == (255, 0, 255)).all()


def test_a_mixed_colour_by_hand() -> None:
    tile = rank_tile()
    picture = mix((10.25, 10.25, 10.25), Rect(0, 0, 2, 2))[..., 0]
    assert picture.tolist() == [[11 if tile[y, x] < 1024 else 10 for x in range(2)] for y in range(2)]


def test_the_disc_holds_the_pixels_within_half_of_21() -> None:
    assert disc().sum() == 349
    assert disc()[0, 10]
    assert not disc()[0, 11]
    assert disc()[7, 7]
    assert not disc()[8, 7]


def test_any_21_pixel_disc_is_within_the_stated_part_of_a_code_step() -> None:
    # All 4096 fractions at all 4096 offsets; the figure stands in docs/patterns.md.
    assert worst_in_discs(rank_tile()).max() / 349 < 1 / STATED


STATED = 102
