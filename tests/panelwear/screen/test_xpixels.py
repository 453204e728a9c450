"""The server's pixels come the same way or the other, and one that differs is found wherever it is."""

from __future__ import annotations

import numpy as np
import pytest

from panelwear.screen.xconnection import XConnection
from panelwear.screen.xpixels import RGB, XPixels, first_difference
from tests.popups import PopUps
from tests.screens import xvfb

SIZE = (640, 360)
BOXES = [(10, 20, 200, 150), (0, 0, 640, 1), (0, 359, 640, 1), (639, 100, 1, 7)]
WAYS = pytest.mark.parametrize(
    ("options", "shared"), [((), True), (("-extension", "MIT-SHM"), False)], ids=["shared", "sent"]
)


@WAYS
@pytest.mark.screen
def test_every_pixel_comes_as_the_server_holds_it(options: tuple[str, ...], shared: bool) -> None:
    with xvfb(*SIZE, *options) as display:
        them = PopUps(display.name)
        for n in range(40):
            them.up((17 * n % 640, 29 * n % 360, 61, 43), 40 + 5 * n, managed=False)
        x = XConnection(display.name)
        pixels = XPixels(x, SIZE[0] * SIZE[1])
        assert pixels.shared is shared
        whole = display.grab().astype(np.uint32) @ np.array([1 << 16, 1 << 8, 1], np.uint32)
        for (left, top, w, h), found in zip(BOXES, pixels.take(pixels.ask(BOXES)), strict=True):
            assert found is not None
            assert np.array_equal(found & RGB, whole[top : top + h, left : left + w])
        x.close()
        them.x.close()


@WAYS
@pytest.mark.screen
def test_what_was_there_before_is_not_taken_for_what_is_there_now(options: tuple[str, ...], shared: bool) -> None:
    with xvfb(*SIZE, *options) as display:
        them = PopUps(display.name)
        x = XConnection(display.name)
        pixels = XPixels(x, SIZE[0] * SIZE[1])
        for code in (50, 51, 50):
            window = them.up((0, 0, *SIZE), code, managed=False)
            (found,) = pixels.take(pixels.ask([(5, 5, 300, 300)]))
            assert found is not None
            assert np.unique(found & RGB).tolist() == [code * 0x010101]
            them.down(window)
        x.close()
        them.x.close()


@WAYS
@pytest.mark.screen
def test_a_box_beside_the_desktop_or_beyond_the_room_has_no_pixels(options: tuple[str, ...], shared: bool) -> None:
    with xvfb(*SIZE, *options) as display:
        x = XConnection(display.name)
        pixels = XPixels(x, 100)
        beside, within = pixels.take(pixels.ask([(635, 0, 10, 2), (630, 0, 10, 2)]))
        assert beside is None
        assert within is not None
        assert within.shape == (2, 10)
        (beyond,) = pixels.take(pixels.ask([(0, 0, 640, 360)]))
        assert (beyond is None) is shared
        x.close()


def test_the_first_pixel_of_another_colour_is_found_and_the_unused_bits_are_not_looked_at() -> None:
    wanted = np.arange(600, dtype=np.uint32).reshape(20, 30)
    assert first_difference(wanted.copy(), wanted) is None
    assert first_difference(wanted | np.uint32(0xFF000000), wanted) is None
    for row, column, bit in ((0, 0, 0), (7, 29, 23), (19, 29, 8)):
        found = wanted | np.uint32(0x5A000000)
        found[row, column] ^= np.uint32(1 << bit)
        assert first_difference(found, wanted) == (row, column)
