"""The dot grid and the grey staircase, pixel by pixel."""

from __future__ import annotations

import numpy as np
import pytest

from patterns import PatternError, build, raster
from patterns.camera import LARGE_DOTS, STAIR_CODES, dot_centres, dot_radii_px, stair_cells

SIZES = [(3840, 2160), (2560, 1440), (1366, 768), (341, 201)]


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_dots_have_their_stated_middles_and_areas(width, height):
    pixels = raster(build("dot-grid", width, height))[..., 1] > 0
    centres, radii = dot_centres(width, height), dot_radii_px(width, height)
    assert centres.shape == (170, 2) and list(np.flatnonzero(radii > radii.min())) == list(LARGE_DOTS)
    found = np.zeros_like(pixels)
    for (x, y), radius in zip(centres, radii, strict=True):
        reach = int(radius)
        top, left = int(y) - reach, int(x) - reach
        box = pixels[top : top + 2 * reach + 1, left : left + 2 * reach + 1]
        rows, columns = np.nonzero(box)
        assert (columns.mean() + left + 0.5, rows.mean() + top + 0.5) == pytest.approx((x, y))
        # Source: Gauss's circle problem, lattice points in a circle of radius 3, 6 and 12 about one (OEIS A000328).
        assert box.sum() == {3: 29, 4: 49, 6: 113, 8: 197, 12: 441, 16: 797, 24: 1793}[int(radius)]
        found[top : top + 2 * reach + 1, left : left + 2 * reach + 1] |= box
    assert np.array_equal(found, pixels)  # nothing else is lit


def test_a_screen_too_small_for_the_dots_is_refused():
    with pytest.raises(PatternError, match="needs at least 340 x 200 pixels"):
        build("dot-grid", 320, 240)


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_each_level_of_the_stairs_stands_twice_about_the_middle(width, height):
    pixels = raster(build("grey-stairs", width, height))[..., 0]
    cells = stair_cells(width, height)
    assert sum(rect.area for rect, _ in cells) == width * height
    for rect, code in cells:
        assert (pixels[rect.y : rect.bottom, rect.x : rect.right] == code).all()
    for code in STAIR_CODES:
        middles = [rect.centre for rect, one in cells if one == code]
        assert np.mean(middles, axis=0) == pytest.approx((width / 2, height / 2), abs=1)
