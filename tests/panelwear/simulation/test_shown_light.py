"""The simulated meter of an inspection sees the frame that is shown, where it lies, and nothing between readings."""

from __future__ import annotations

import pytest

from panelwear.screen.operator import Awaited
from panelwear.simulation.shown_light import ShownLight
from patterns import build


def read(awaited: Awaited, light: ShownLight, code: float) -> float:
    awaited.frame = build("window", 640, 360, codes=(code, code, code), share=0.1)
    return light(1.0)[1]


def test_it_sees_what_is_shown_and_dark_where_nothing_is() -> None:
    awaited = Awaited(at_px=(320.0, 180.0))
    light = ShownLight(awaited)
    black, grey, white = (read(awaited, light, code) for code in (0, 128, 255))
    assert black < 0.05 < grey < white
    # A panel of gamma 2.2: code 128 gives 0.22 of peak.
    assert grey / white == pytest.approx((128 / 255) ** 2.2, rel=0.1)
    awaited.frame = None
    assert light(1.0) == (0.0, 0.0, 0.0)


def test_it_lies_where_the_reading_is_awaited() -> None:
    awaited = Awaited(at_px=(320.0, 180.0))
    light = ShownLight(awaited)
    centre = read(awaited, light, 255)
    awaited.at_px = (40.0, 40.0)
    assert read(awaited, light, 255) < 0.01 * centre
