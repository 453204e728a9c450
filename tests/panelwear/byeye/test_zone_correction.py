from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from panelwear.byeye.zone_correction import (
    code_for,
    code_step,
    correction_frame,
    finest_step,
    mixed_luminance,
    reach,
    scaled_code,
)
from panelwear.errors import UsageError
from patterns import registry
from patterns.frame import Rect
from patterns.raster import raster
from tests.references import value


def power(code: float) -> float:
    return 100 * float(code / 255) ** 2.2


def light(picture: np.ndarray, response: Callable[[float], float]) -> np.ndarray:
    return np.vectorize(response)(np.arange(256))[picture[:, :, 0]]


def test_one_code_near_mid_grey_is_the_published_step() -> None:
    record = value("BAND-8BIT")
    # (L(129) - L(128)) / L(128), and the reference's derivative form g / v within a hundredth of it.
    assert code_step(power, 128) == pytest.approx(record["expected"], abs=record["tolerance"])
    assert code_step(power, 128) == pytest.approx(2.2 / 128, rel=0.01)


def test_code_for_is_the_exact_inverse_of_the_mix() -> None:
    for code in (0.0, 0.25, 17.5, 128.4375, 254.999, 255.0):
        assert code_for(power, mixed_luminance(power, code)) == pytest.approx(code, abs=1e-9)


def test_light_between_two_codes_is_a_straight_line() -> None:
    assert mixed_luminance(power, 128.25) == pytest.approx(0.75 * power(128) + 0.25 * power(129))


def test_a_level_out_of_reach_gives_the_panel_s_end() -> None:
    assert scaled_code(power, 250, 0.5) == 255
    assert scaled_code(power, 3, -1.5) == 0
    low, high = reach(power, 200)
    assert low == -1
    assert (1 + high) * power(200) == pytest.approx(100)


@pytest.mark.parametrize("c", [-0.03, -0.004, 0.0017, 0.01, 0.03])
def test_the_pixels_of_a_correction_have_its_light(c: float) -> None:
    field = registry.build("field", 400, 300, codes=(128.0, 128.0, 128.0))
    zone = Rect(64, 64, 128, 128)
    frame = correction_frame(field, zone, c, 0, power)
    shown = light(raster(frame), power)
    inside = shown[64:192, 64:192].mean()
    outside = shown[:, 300:].mean()
    # The tile has 4096 ranks: 1/4096 of a 1.7 % step, and four whole tiles are inside.
    assert inside / outside - 1 == pytest.approx(c, abs=0.0173 / 4096)
    assert (shown[:64] == power(128)).all()


def test_only_driven_channels_are_corrected() -> None:
    field = registry.build("field", 100, 80, codes=(0.0, 180.0, 0.0))
    frame = correction_frame(field, Rect(10, 10, 20, 20), 0.02, 0, power)
    red, green, blue = frame.fills[-1].codes
    assert (red, blue) == (0.0, 0.0)
    assert mixed_luminance(power, green) == pytest.approx(1.02 * power(180))


def test_the_soft_edge_is_a_box_blur_of_the_zone() -> None:
    edge, zone = 9, Rect(60, 40, 50, 30)
    field = registry.build("field", 200, 120, codes=(128.0, 128.0, 128.0))
    frame = correction_frame(field, zone, 0.02, edge, power)
    share = np.zeros((120, 200))
    for fill in frame.fills[1:]:
        part = fill.rect
        share[part.y : part.bottom, part.x : part.right] = mixed_luminance(power, fill.codes[0]) / power(128) - 1
    # Along the middle line nothing of the corners is seen: numpy's convolution is the outside check.
    hard = np.zeros(200)
    hard[zone.x : zone.right] = 0.02
    blurred = np.convolve(hard, np.ones(edge) / edge, mode="same")
    assert share[zone.y + 15] == pytest.approx(blurred, abs=1e-9)


def test_a_zone_narrower_than_its_edge_never_gets_the_whole_correction() -> None:
    field = registry.build("field", 100, 100, codes=(128.0, 128.0, 128.0))
    frame = correction_frame(field, Rect(50, 0, 2, 100), 0.02, 8, power)
    peak = max(mixed_luminance(power, f.codes[0]) / power(128) - 1 for f in frame.fills[1:])
    assert peak == pytest.approx(0.02 * 2 / 8)


def test_a_zone_of_one_pixel_is_one_pixel() -> None:
    field = registry.build("field", 64, 64, codes=(100.0, 100.0, 100.0))
    frame = correction_frame(field, Rect(5, 6, 1, 1), 0.3, 0, power)
    picture = raster(frame)
    assert np.argwhere(picture[:, :, 0] != 100).tolist() == [[6, 5]]
    assert finest_step(power, 100, 1) == code_step(power, 100)
    assert finest_step(power, 100, 10**6) == code_step(power, 100) / 4096


def test_a_zone_partly_off_the_screen_is_corrected_where_it_is_on() -> None:
    field = registry.build("field", 64, 64, codes=(100.0, 100.0, 100.0))
    frame = correction_frame(field, Rect(-10, 50, 30, 40), 0.05, 4, power)
    assert frame.rect == Rect(0, 50, 20, 14)
    assert all(f.rect.x >= 0 and f.rect.bottom <= 64 for f in frame.fills)


def test_a_zone_off_the_screen_is_said_in_one_sentence() -> None:
    field = registry.build("field", 64, 64, codes=(100.0, 100.0, 100.0))
    with pytest.raises(UsageError, match=r"lies outside the screen of 64 x 64 pixels: correct its rect_px"):
        correction_frame(field, Rect(64, 0, 10, 10), 0.05, 0, power)


def test_a_picture_cannot_be_corrected() -> None:
    field = registry.build("field", 8, 8, codes=(100.0, 100.0, 100.0))
    from dataclasses import replace

    with pytest.raises(UsageError, match="flat field only"):
        correction_frame(replace(field, pixels=raster(field)), Rect(0, 0, 2, 2), 0.05, 0, power)


def test_a_correction_keeps_the_geometry_whatever_its_size() -> None:
    field = registry.build("field", 64, 64, codes=(100.0, 100.0, 100.0))
    digests = {correction_frame(field, Rect(5, 6, 20, 9), c, 4, power).geometry_sha256() for c in (-0.02, 0.0, 0.03)}
    assert len(digests) == 1
