"""Zones, strips, spots and grid places, every pixel."""

from __future__ import annotations

import numpy as np
import pytest

from patterns import PatternError, Rect, build, grid_points, raster, zone_centres
from tests.patterns.sizes import SIZES, expected_of
from tests.references import value

BIG = [size for size in SIZES if size != (1, 1)]


@pytest.mark.parametrize(("width", "height"), BIG)
def test_every_pixel_of_a_hard_zone(width: int, height: int) -> None:
    frame = build("zone", width, height, codes=(200, 10, 20), background=(60, 70, 90), rect=[3, 5, 301, 77])
    expected = expected_of(width, height, (60, 70, 90))
    expected[5:82, 3:304] = (200, 10, 20)
    assert np.array_equal(raster(frame), expected)
    assert frame.rect == Rect(3, 5, 301, 77)
    assert frame.lit_share == 301 * 77 / (width * height)


@pytest.mark.parametrize(("width", "height"), BIG)
@pytest.mark.parametrize("soft_px", [1, 8, 15, 16.5])
def test_a_soft_zone_is_a_box_blur_of_the_hard_one(width: int, height: int, soft_px: float) -> None:
    rect = Rect(100, 60, 250, 120)
    frame = build("zone", width, height, codes=(250, 250, 250), background=(50, 50, 50), rect=rect, soft_px=soft_px)
    picture = raster(frame)[..., 0].astype(float)
    # Independent blur: sixteen points a pixel, a running mean over soft_px, taken at the pixel's centre.
    fine = 16

    def blurred(low: int, high: int, length: int) -> np.ndarray:
        points = (np.arange(length * fine) + 0.5) / fine
        inside = ((points >= low) & (points < high)).astype(float)
        total = np.concatenate(([0.0], np.cumsum(inside)))
        centres = np.arange(length) + 0.5
        left = np.clip((centres - soft_px / 2) * fine, 0, length * fine).astype(int)
        right = np.clip((centres + soft_px / 2) * fine, 0, length * fine).astype(int)
        return np.asarray((total[right] - total[left]) / (soft_px * fine))

    mask = blurred(100, 350, width)[None, :] * blurred(60, 180, height)[:, None]
    # The picture shows whole codes: the spatial mix lies within one code of the blurred one.
    assert np.abs(picture - (50 + 200 * mask)).max() < 1 + 200 / (soft_px * fine)
    assert picture[120, 200] == 250
    assert (picture[:, 400:] == 50).all()


def test_a_soft_edge_by_hand() -> None:
    # Four pixels of blur on an edge at x = 8: shares 1/8, 3/8, 5/8, 7/8 at pixels 6, 7, 8, 9.
    row = raster(build("zone", 40, 40, codes=(80, 80, 80), rect=(8, 0, 32, 40), soft_px=4))[20, :12, 0]
    assert row.tolist() == [0, 0, 0, 0, 0, 0, 10, 30, 50, 70, 80, 80]


def test_a_soft_zone_stays_hard_at_the_screens_edge() -> None:
    picture = raster(build("zone", 40, 40, codes=(80, 80, 80), rect=(8, 0, 32, 40), soft_px=4))[..., 0]
    assert (picture[:, 39] == 80).all()
    assert (picture[0] == picture[20]).all()


def test_a_zone_off_the_screen_or_missing_is_refused() -> None:
    with pytest.raises(PatternError, match="does not lie on the screen"):
        build("zone", 100, 100, rect=(50, 50, 51, 10))
    with pytest.raises(PatternError, match="needs rect"):
        build("zone", 100, 100)
    with pytest.raises(PatternError, match="whole pixels"):
        build("zone", 100, 100, rect=(1.5, 0, 5, 5))
    assert raster(build("zone", 1, 1, rect=(0, 0, 1, 1))).tolist() == [[[255, 255, 255]]]


@pytest.mark.parametrize(("width", "height"), BIG)
def test_every_pixel_of_a_strip(width: int, height: int) -> None:
    upright = build("strip", width, height, codes=(0, 0, 255), thickness_px=65, at=(0.25, 0.5))
    left = int(np.floor(width * 0.25 - 32.5 + 0.5))
    expected = expected_of(width, height)
    expected[:, left : left + 65] = (0, 0, 255)
    assert np.array_equal(raster(upright), expected)
    assert upright.lit_share == 65 / width
    lying = build("strip", width, height, thickness_px=10, direction="horizontal", at_px=(7, 100))
    expected = expected_of(width, height)
    expected[95:105] = 255
    assert np.array_equal(raster(lying), expected)
    given = build("strip", width, height, rect=(10, 20, 30, 40))
    expected = expected_of(width, height)
    expected[20:60, 10:40] = 255
    assert np.array_equal(raster(given), expected)


@pytest.mark.parametrize(("width", "height"), BIG)
@pytest.mark.parametrize("diameter", [1, 2, 21, 100])
def test_every_pixel_of_a_disc_at_every_place_of_a_grid(width: int, height: int, diameter: int) -> None:
    y, x = np.mgrid[0:height, 0:width]
    for point in grid_points(5, width, height):
        frame = build("spot", width, height, codes=(1, 2, 3), diameter_px=diameter, at=point.fraction)
        middle = frame.rect.centre
        assert abs(middle[0] - point.at_px[0]) <= 0.5
        assert abs(middle[1] - point.at_px[1]) <= 0.5
        inside = (x + 0.5 - middle[0]) ** 2 + (y + 0.5 - middle[1]) ** 2 <= (diameter / 2) ** 2
        assert np.array_equal(raster(frame), inside[..., None] * np.uint8([1, 2, 3]))
        assert frame.lit_share == pytest.approx(inside.mean(), rel=1e-12)


def test_discs_by_hand() -> None:
    disc = raster(build("spot", 5, 5, diameter_px=5))[..., 0] // 255
    # (2, 1): distance^2 from the middle 4 + 1 = 5 <= 6.25; (2, 2): 8 > 6.25.
    assert disc.tolist() == [[0, 1, 1, 1, 0], [1, 1, 1, 1, 1], [1, 1, 1, 1, 1], [1, 1, 1, 1, 1], [0, 1, 1, 1, 0]]
    square = build("spot", 9, 9, diameter_px=3, shape="square")
    assert square.fills[0].rect == Rect(3, 3, 3, 3)
    with pytest.raises(PatternError, match="do not fit"):
        build("spot", 1, 1)
    assert raster(build("spot", 1, 1, diameter_px=1)).tolist() == [[[255, 255, 255]]]


def test_the_nine_point_grid_is_the_published_one() -> None:
    known = value("UNI-06")
    points = grid_points(9, 3840, 2160)
    assert [point.at_px for point in points] == [
        pytest.approx((x, y), abs=known["tolerance"]) for y in known["expected"]["y"] for x in known["expected"]["x"]
    ]
    assert [point.name for point in points[:4]] == ["x100y100", "x500y100", "x900y100", "x100y500"]


def test_the_twenty_five_point_grid_is_the_published_one() -> None:
    fractions = value("UNI-09")["expected"]
    points = grid_points(25, 1366, 768)
    assert [point.fraction for point in points] == [pytest.approx((x, y)) for y in fractions for x in fractions]
    assert len({point.name for point in points}) == 25


def test_the_zone_centres_are_the_published_ones() -> None:
    known = value("UNI-07")["expected"]
    assert [point.at_px for point in zone_centres(3840, 2160)] == [
        pytest.approx((x, y), abs=0.5) for y in known["y"] for x in known["x"]
    ]
    assert zone_centres(3840, 2160)[0].name == "x167y167"


def test_smaller_grids_are_parts_of_larger_ones() -> None:
    named = {n: {point.name for point in grid_points(n, 1920, 1080)} for n in (5, 9, 13, 25)}
    assert {n: len(found) for n, found in named.items()} == {5: 5, 9: 9, 13: 13, 25: 25}
    assert named[5] < named[9] < named[13] < named[25]
    assert named[13] - named[9] == {"x300y300", "x700y300", "x300y700", "x700y700"}
    with pytest.raises(PatternError, match="5, 9, 13 or 25"):
        grid_points(7, 10, 10)


def test_where_a_zone_lies_is_geometry_and_its_colour_is_not() -> None:
    frames = [
        build("zone", 640, 480, rect=(0, 0, 10, 10)),
        build("zone", 640, 480, rect=(0, 0, 10, 11)),
        build("zone", 640, 480, rect=(0, 0, 10, 10), soft_px=4),
        build("strip", 640, 480),
        build("spot", 640, 480),
        build("spot", 640, 480, shape="square"),
    ]
    assert len({frame.geometry_sha256() for frame in frames}) == len(frames)
    other = build("zone", 640, 480, codes=(1, 1, 1), rect=(0, 0, 10, 10), soft_px=4)
    assert other.geometry_sha256() == frames[2].geometry_sha256()
