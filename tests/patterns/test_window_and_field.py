"""Field and window, every pixel, on odd sizes too."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns import BLACK, PatternError, Rect, build, raster
from patterns.fields import surround_codes
from patterns.mix import light_of
from patterns.registry import Ground
from tests.patterns.sizes import SIZES, expected_of


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_a_field_fills_every_pixel(width: int, height: int) -> None:
    frame = build("field", width, height, codes=(10, 200, 255))
    picture = raster(frame)
    assert picture.shape == (height, width, 3)
    assert picture.dtype == np.uint8
    assert (picture == (10, 200, 255)).all()
    assert frame.lit_share == 1.0
    assert frame.rect == Rect(0, 0, width, height)


@pytest.mark.parametrize(
    ("width", "height", "rect"),
    [
        # By hand: 3840 * sqrt(0.1) = 1214.3 -> 1214; 829440 / 1214 = 683.2 -> 683; (3840 - 1214) / 2 = 1313;
        # (2160 - 683) / 2 = 738.5 -> 739.
        (3840, 2160, Rect(1313, 739, 1214, 683)),
        # 1366 * 0.316228 = 431.97 -> 432; 104908.8 / 432 = 242.8 -> 243; 467; 262.5 -> 263.
        (1366, 768, Rect(467, 263, 432, 243)),
        # 3440 * 0.316228 = 1087.8; 1087 x 456 is 312 px too many, 1088 x 455 is 320 too few; 1176.5 -> 1177; 492.
        (3440, 1440, Rect(1177, 492, 1087, 456)),
    ],
)
def test_a_ten_per_cent_window_lies_where_it_was_reckoned_by_hand(width: int, height: int, rect: Rect) -> None:
    frame = build("window", width, height, codes=(255, 255, 255), background=(3, 4, 5), share=0.1)
    assert frame.rect == rect
    picture = raster(frame)
    expected = np.empty_like(picture)
    expected[...] = (3, 4, 5)
    expected[rect.y : rect.y + rect.h, rect.x : rect.x + rect.w] = 255
    assert np.array_equal(picture, expected)
    assert frame.lit_share == rect.w * rect.h / (width * height)


@given(st.integers(1, 4000), st.integers(1, 3000), st.floats(1e-6, 1.0))
def test_a_window_misses_its_area_by_at_most_half_a_row(width: int, height: int, share: float) -> None:
    try:
        frame = build("window", width, height, share=share)
    except PatternError:
        assert share * width * height < 0.5
        return
    missed = abs(frame.rect.area - share * width * height)
    # A side that has come to the screen's edge or to one pixel can give no more.
    if frame.rect.h < height:
        assert missed <= frame.rect.w / 2 + 1e-6 or frame.rect.h == 1
    assert frame.lit_share == frame.rect.area / (width * height)
    assert frame.rect.x >= 0 and frame.rect.right <= width
    assert frame.rect.y >= 0 and frame.rect.bottom <= height
    assert abs(frame.rect.centre[0] - width / 2) <= 0.5
    assert abs(frame.rect.centre[1] - height / 2) <= 0.5


@pytest.mark.parametrize("share", [0.01, 0.02, 0.04, 0.1, 0.18, 0.25, 0.5, 0.75, 1.0])
@pytest.mark.parametrize(("width", "height"), [s for s in SIZES if s != (1, 1)])
def test_loading_windows_are_within_a_third_of_a_per_cent_of_their_share(share: float, width: int, height: int) -> None:
    frame = build("window", width, height, share=share)
    assert frame.lit_share == pytest.approx(share, rel=0.003)
    if share == 1.0:
        assert frame.rect == Rect(0, 0, width, height)


def test_a_square_window_is_square() -> None:
    frame = build("window", 3840, 2160, share=0.1, shape="square")
    # sqrt(829440) = 910.7 -> 911
    assert (frame.rect.w, frame.rect.h) == (911, 911)
    with pytest.raises(PatternError, match=r"at most 0\.5625"):
        build("window", 3840, 2160, share=0.6, shape="square")


def test_a_window_may_sit_elsewhere_but_wholly_on_the_screen() -> None:
    frame = build("window", 1000, 500, share=0.01, at=(0.1, 0.9))
    assert frame.rect == Rect(50, 425, 100, 50)
    assert build("window", 1000, 500, share=0.01, at_px=(100, 450)).rect == frame.rect
    with pytest.raises(PatternError, match="do not fit"):
        build("window", 1000, 500, share=0.25, at=(0.1, 0.5))
    with pytest.raises(PatternError, match="outside the screen"):
        build("window", 1000, 500, at_px=(1001, 5))


def test_one_pixel_can_be_a_window_only_when_half_of_it_is_asked_for() -> None:
    assert build("window", 1, 1, share=0.5).rect == Rect(0, 0, 1, 1)
    with pytest.raises(PatternError, match=r"less than one pixel: at least 0\.5"):
        build("window", 1, 1, share=0.1)


@pytest.mark.parametrize("codes", [(255, 255, 255), (0, 0, 0), (0, 255, 0), (128.5, 20, 3)])
@pytest.mark.parametrize(("width", "height", "collar"), [(1366, 768, 0), (1366, 768, 30), (3440, 1440, 101)])
def test_a_surround_holds_the_mean_light_of_the_pixels_themselves(
    codes: tuple[float, float, float], width: int, height: int, collar: int
) -> None:
    frame = build("window", width, height, codes=codes, share=0.04, surround_mean_code=110, gamma=2.2, collar_px=collar)
    light = ((np.arange(256) / 255) ** 2.2)[raster(frame)].mean(axis=(0, 1))
    # A tile cut by the screen's edge is exact to a few ranks only: one part in 10^4 of the light.
    assert light == pytest.approx([(110 / 255) ** 2.2] * 3, rel=1e-4)


def test_a_collar_is_black_and_cut_at_the_screens_edge() -> None:
    frame = build("window", 200, 100, codes=(255, 0, 0), background=(9, 9, 9), share=0.01, at=(0.05, 0.5), collar_px=10)
    # 20 x 10 at (0, 45); the collar reaches to x = 30 and from y = 35 to 65.
    assert frame.rect == Rect(0, 45, 20, 10)
    expected = expected_of(200, 100, (9, 9, 9))
    expected[35:65, 0:30] = 0
    expected[45:55, 0:20] = (255, 0, 0)
    assert np.array_equal(raster(frame), expected)
    assert frame.lit_share == 0.01


def test_a_surround_counts_as_lit_but_the_collar_does_not() -> None:
    frame = build("window", 200, 100, share=0.01, surround_mean_code=128, collar_px=10)
    assert frame.lit_share == pytest.approx(1 - (40 * 30 - 200) / 20000)
    assert frame.background == BLACK


def test_a_mean_that_cannot_be_held_says_which_can() -> None:
    with pytest.raises(PatternError, match="can be held") as caught:
        build("window", 100, 100, codes=(255, 255, 255), share=0.25, surround_mean_code=20)
    low = float(str(caught.value).split("reach: ")[1].split(" to ")[0])
    # 0.25 of the screen at full light: the mean is at least 0.25, code 255 * 0.25 ** (1 / 2.2) = 135.8.
    assert low == pytest.approx(135.8, abs=0.1)
    build("window", 100, 100, codes=(255, 255, 255), share=0.25, surround_mean_code=low + 0.01)


def test_the_surround_formula_agrees_with_a_hand_calculation() -> None:
    ground = Ground("window", 10, 10, (255.0, 255.0, 255.0), BLACK)
    rect = Rect(0, 0, 5, 2)
    # Linear light (gamma 1): 10 px at 1, the mean 0.5 of 100 px: the other 90 must give 40: 0.4444 = code 113.333.
    assert surround_codes(ground, rect, rect, 127.5, 1.0) == pytest.approx((113.3333,) * 3, abs=1e-3)
    assert light_of(113.25, 1.0) == pytest.approx(113.25 / 255)


def test_geometry_does_not_know_the_colour_but_knows_everything_else() -> None:
    one = build("window", 800, 600, codes=(1, 2, 3)).geometry_sha256()
    assert build("window", 800, 600, codes=(200, 2, 3)).geometry_sha256() == one
    with_surround = {
        build("window", 800, 600, codes=(c, c, c), surround_mean_code=120).geometry_sha256() for c in (0, 9)
    }
    assert len(with_surround) == 1
    others = [
        build("window", 801, 600),
        build("window", 800, 600, share=0.2),
        build("window", 800, 600, at=(0.4, 0.5)),
        build("window", 800, 600, background=(1, 1, 1)),
        build("window", 800, 600, collar_px=1),
        build("window", 800, 600, surround_mean_code=120),
        build("window", 800, 600, surround_mean_code=121),
        build("field", 800, 600),
    ]
    assert len({one, *(frame.geometry_sha256() for frame in others)}) == len(others) + 1
