"""Stairs, smooth ramps and checkerboards, every pixel."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns import PatternError, build, raster
from tests.patterns.sizes import SIZES

BIG = [size for size in SIZES if size != (1, 1)]


def nearest_border(i: int, length: int, parts: int) -> int:
    return int(np.floor(i * length / parts + 0.5))


@pytest.mark.parametrize(("width", "height"), BIG)
@pytest.mark.parametrize("direction", ["horizontal", "vertical"])
@pytest.mark.parametrize("steps", [2, 11, 16, 256])
def test_every_pixel_of_a_stair(width: int, height: int, direction: str, steps: int) -> None:
    frame = build("stair", width, height, codes=(255, 255, 255), steps=steps, direction=direction)
    picture = raster(frame)
    length = width if direction == "horizontal" else height
    step_of = np.zeros(length, dtype=int)
    for i in range(1, steps):
        step_of[nearest_border(i, length, steps) :] = i
    codes = np.floor(255 * step_of / (steps - 1) + 0.5).astype(np.uint8)
    expected = codes[None, :, None] if direction == "horizontal" else codes[:, None, None]
    assert np.array_equal(picture, np.broadcast_to(expected, (height, width, 3)))
    assert frame.lit_share == 1.0


def test_a_stair_by_hand() -> None:
    # 10 px in 4 steps: borders 2.5 -> 3, 5, 7.5 -> 8; codes 0, 10, 20, 30 in red.
    row = raster(build("stair", 10, 1, codes=(30, 0, 0), steps=4))[0, :, 0]
    assert row.tolist() == [0, 0, 0, 10, 10, 20, 20, 20, 30, 30]


def test_a_stair_may_start_at_a_colour_and_go_down() -> None:
    picture = raster(build("stair", 3, 1, codes=(0, 0, 255), start=(255, 0, 0), steps=3))
    assert picture[0].tolist() == [[255, 0, 0], [128, 0, 128], [0, 0, 255]]


def test_a_stair_of_more_steps_than_pixels_is_refused() -> None:
    with pytest.raises(PatternError, match="at most 1"):
        build("stair", 1, 1, steps=2)
    with pytest.raises(PatternError, match="at least 2 and at most 256"):
        build("stair", 800, 600, steps=1)


@pytest.mark.parametrize(("width", "height"), BIG)
def test_every_pixel_of_a_smooth_ramp_of_whole_codes(width: int, height: int) -> None:
    frame = build("smooth-ramp", width, height, codes=(200, 0, 100), mixed=False)
    x = np.arange(width) / (width - 1)
    line = np.stack([np.floor(x * top + 0.5) for top in (200.0, 0.0, 100.0)], axis=-1).astype(np.uint8)
    assert np.array_equal(raster(frame), np.broadcast_to(line, (height, width, 3)))


@pytest.mark.parametrize(("width", "height"), BIG)
@pytest.mark.parametrize("direction", ["horizontal", "vertical"])
def test_a_mixed_ramp_stays_within_a_code_of_its_line_and_meets_it_on_average(
    width: int, height: int, direction: str
) -> None:
    picture = raster(build("smooth-ramp", width, height, direction=direction)).astype(np.int16)[..., 1]
    length = width if direction == "horizontal" else height
    line = 255 * np.arange(length) / (length - 1)
    wide = line[None, :] if direction == "horizontal" else line[:, None]
    assert (np.abs(picture - wide) < 1).all()
    # Over 64 x 64 pixels the mean is the line's mean, to the ranks that one block can miss.
    means = picture[:64, : (width // 64) * 64].reshape(64, -1, 64).mean(axis=(0, 2))
    wanted = np.broadcast_to(wide, (height, width))[:64, : (width // 64) * 64].reshape(64, -1, 64).mean(axis=(0, 2))
    assert np.abs(means - wanted).max() < 1 / 32
    assert picture.flat[0] == 0
    assert picture.flat[-1] == 255


@given(st.integers(2, 700), st.sampled_from(["horizontal", "vertical"]), st.booleans(), st.integers(0, 255))
def test_whole_code_ramps_never_step_back(length: int, direction: str, mixed: bool, top: int) -> None:
    width, height = (length, 3) if direction == "horizontal" else (3, length)
    picture = raster(build("smooth-ramp", width, height, codes=(top, top, top), direction=direction, mixed=mixed))
    along = picture[..., 0].astype(int) if direction == "horizontal" else picture[..., 0].astype(int).T
    assert (along[:, 0] == 0).all()
    assert (along[:, -1] == top).all()
    least = -1 if mixed else 0
    assert (np.diff(along, axis=1) >= least).all()


def test_a_ramp_needs_two_pixels() -> None:
    with pytest.raises(PatternError, match="at least 2 pixels"):
        build("smooth-ramp", 1, 1)


@pytest.mark.parametrize(("width", "height"), BIG)
@pytest.mark.parametrize(("columns", "rows"), [(4, 4), (5, 5), (8, 6), (1, 1), (13, 7)])
@pytest.mark.parametrize("phase", [0, 1])
def test_every_pixel_of_a_checkerboard(width: int, height: int, columns: int, rows: int, phase: int) -> None:
    frame = build(
        "checkerboard", width, height, codes=(255, 254, 253), background=(1, 2, 3),
        columns=columns, rows=rows, phase=phase,
    )  # fmt: skip
    column, row = np.zeros(width, dtype=int), np.zeros(height, dtype=int)
    for i in range(1, columns):
        column[nearest_border(i, width, columns) :] = i
    for j in range(1, rows):
        row[nearest_border(j, height, rows) :] = j
    lit = (column[None, :] + row[:, None] + phase) % 2 == 0
    expected = np.where(lit[..., None], np.uint8([255, 254, 253]), np.uint8([1, 2, 3]))
    assert np.array_equal(raster(frame), expected)
    assert frame.lit_share == pytest.approx(lit.mean(), abs=1e-12)


def test_a_checkerboard_by_hand() -> None:
    picture = raster(build("checkerboard", 5, 3, codes=(9, 9, 9), columns=2, rows=2))[..., 0]
    # Borders 2.5 -> 3 and 1.5 -> 2.
    assert picture.tolist() == [[9, 9, 9, 0, 0], [9, 9, 9, 0, 0], [0, 0, 0, 9, 9]]


@given(st.integers(1, 60), st.integers(1, 60), st.data())
def test_both_phases_light_every_pixel_once(width: int, height: int, data: st.DataObject) -> None:
    columns = data.draw(st.integers(1, width))
    rows = data.draw(st.integers(1, height))
    both = [raster(build("checkerboard", width, height, columns=columns, rows=rows, phase=p)) for p in (0, 1)]
    assert (both[0] ^ both[1] == 255).all()
    fine = [raster(build("pixel-checker", width, height, phase=p)) for p in (0, 1)]
    assert (fine[0] ^ fine[1] == 255).all()


@pytest.mark.parametrize(("width", "height"), SIZES)
@pytest.mark.parametrize("phase", [0, 1])
def test_every_pixel_of_the_pixel_checker(width: int, height: int, phase: int) -> None:
    frame = build("pixel-checker", width, height, codes=(255, 0, 9), background=(7, 7, 7), phase=phase)
    y, x = np.mgrid[0:height, 0:width]
    lit = (x + y + phase) % 2 == 0
    expected = np.where(lit[..., None], np.uint8([255, 0, 9]), np.uint8([7, 7, 7]))
    assert np.array_equal(raster(frame), expected)
    assert frame.lit_share == lit.mean()


def test_cells_need_a_pixel_each_and_a_phase_of_nought_or_one() -> None:
    with pytest.raises(PatternError, match="at least one pixel"):
        build("checkerboard", 1, 1)
    assert raster(build("checkerboard", 1, 1, columns=1, rows=1)).tolist() == [[[255, 255, 255]]]
    with pytest.raises(PatternError, match="phase = 2 is not allowed"):
        build("pixel-checker", 4, 4, phase=2)


def test_phase_and_cells_are_geometry_and_colour_is_not() -> None:
    frames = [
        build("checkerboard", 640, 480, phase=0),
        build("checkerboard", 640, 480, phase=1),
        build("checkerboard", 640, 480, rows=5),
        build("pixel-checker", 640, 480, phase=0),
        build("pixel-checker", 640, 480, phase=1),
        build("stair", 640, 480),
        build("stair", 640, 480, direction="vertical"),
        build("smooth-ramp", 640, 480),
        build("smooth-ramp", 640, 480, mixed=False),
    ]
    assert len({frame.geometry_sha256() for frame in frames}) == len(frames)
    assert build("pixel-checker", 640, 480, codes=(1, 1, 1)).geometry_sha256() == frames[3].geometry_sha256()
    assert build("stair", 640, 480, codes=(1, 1, 1)).geometry_sha256() == frames[5].geometry_sha256()
