"""The independent counter on known flashes, and on what the governor lets through of wishes made to flash."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchmarks.support.flash_counter import FlashCounter
from panelwear.screen.governor import Governor, Viewing
from patterns.frame import Fill, Frame, Picture, Rect
from patterns.raster import raster

W, H = 160, 90
MOST = 3.0
"""Flashes a second that both sources allow."""
FRAME_S = 1 / 120
BLACK = (0.0, 0.0, 0.0)
WHITE = (255.0, 255.0, 255.0)


def field(*rgb: float) -> Frame:
    return Frame("field", W, H, (rgb[0], rgb[1], rgb[2]), Rect(0, 0, W, H))


def box(rect: Rect, codes: tuple[float, float, float], ground: tuple[float, float, float] = BLACK) -> Frame:
    return Frame("box", W, H, ground, rect, (Fill(rect, codes),))


def worst(pictures: Sequence[Picture], every_s: float, peak_cd_m2: float = 300.0) -> float:
    counter = FlashCounter(peak_cd_m2)
    for n, picture in enumerate(pictures):
        counter.take(picture, n * every_s)
    return counter.worst


def governed(
    wishes: Sequence[tuple[Frame, float]], viewing: Viewing | None = None, free: bool = False
) -> Iterator[tuple[float, Picture]]:
    """Yield what stands on the screen at 120 frames a second while each frame is wished for, so long after the last."""
    governor = Governor(viewing or Viewing(W, H))
    now = raster(field(*BLACK)).astype(float)
    governor.took(governor.codes_of(field(*BLACK)), 0.0, 0.0, big=True)
    at_s = 0.0
    for frame, pause_s in wishes:
        codes, target = governor.codes_of(frame), raster(frame).astype(float)
        permit = governor.permit(codes, at_s)
        start_s = at_s if free else permit.start_s
        end_s = start_s + (0.0 if free else permit.least_fade_s)
        governor.took(codes, start_s, end_s, big=permit.big)
        while at_s < end_s:
            share = min(1.0, max(0.0, (at_s - start_s) / (end_s - start_s)))
            yield at_s, (now + (target - now) * share).round().astype(np.uint8)
            at_s += FRAME_S
        now, until_s = target, at_s + pause_s
        yield at_s, now.astype(np.uint8)
        at_s = max(until_s, at_s + FRAME_S)


def counted(wishes: Sequence[tuple[Frame, float]], viewing: Viewing | None = None, free: bool = False) -> float:
    counter = FlashCounter()
    for at_s, picture in governed(wishes, viewing, free):
        counter.take(picture, at_s)
    return counter.worst


@pytest.mark.parametrize(("every_s", "flashes"), [(0.5, 1.0), (0.25, 2.0), (0.125, 4.0), (0.0625, 8.0)])
def test_the_counter_counts_pairs_of_changes_in_a_second(every_s: float, flashes: float) -> None:
    assert worst([raster(field(*codes)) for codes in [BLACK, WHITE] * 20], every_s) == flashes


def test_the_counter_sees_a_flash_in_small_steps_and_in_a_fade() -> None:
    ramp = [*range(0, 256, 15), *range(255, -1, -15)]
    assert worst([raster(field(c, c, c)) for c in ramp * 6], 1 / 144) == pytest.approx(4.0, abs=0.5)


def test_the_counter_leaves_out_what_is_faint_or_light_or_small() -> None:
    faint = [raster(field(c, c, c)) for c in (200.0, 206.0) * 20]
    assert worst(faint, 0.05, peak_cd_m2=300.0) == 0
    light = [raster(field(c, c, c)) for c in (232.0, 255.0) * 20]  # the darker state is 0.81 of peak
    assert worst(light, 0.05) == 0
    small = [raster(box(Rect(3, 3, 5, 5), codes)) for codes in [BLACK, WHITE] * 20]
    assert worst(small, 0.05) == 0
    assert worst([raster(box(Rect(3, 3, 6, 6), codes)) for codes in [BLACK, WHITE] * 20], 0.05) == 10


def test_the_counter_knows_dark_harmful_steps_and_saturated_red() -> None:
    dark = [raster(field(c, c, c)) for c in (0.0, 76.0) * 20]
    assert worst(dark, 0.05, peak_cd_m2=300.0) == 10
    assert worst(dark, 0.05, peak_cd_m2=250.0) == 0
    # A red and a blue of one luminance, both too dim for any luminance rule.
    red, blue = raster(field(60, 0, 0)), raster(field(0, 0, 98))
    assert worst([red, blue] * 20, 0.05, peak_cd_m2=100.0) == 10
    assert worst([blue, raster(field(0, 98, 0))] * 20, 0.05, peak_cd_m2=50.0) == 0


def window(share: float) -> Frame:
    side = share**0.5
    return box(Rect(round((1 - side) / 2 * W), round((1 - side) / 2 * H), round(side * W), round(side * H)), WHITE)


@pytest.mark.parametrize("share", [0.003, 0.009, 0.2, 1.0])
@pytest.mark.parametrize("distance_mm", [300.0, 3000.0])
def test_a_window_switched_by_mashed_keys_flashes_twice_a_second_at_most(share: float, distance_mm: float) -> None:
    wishes = [(frame, 0.02) for frame in [window(share), field(*BLACK)] * 6]
    assert counted(wishes, free=True) > MOST
    assert counted(wishes, Viewing(W, H, (598.0, 336.0), distance_mm)) <= 2.0


def test_small_regions_that_take_turns_make_no_larger_one_that_flashes() -> None:
    spots = [Rect(10 + 12 * n, 20 + 9 * n, 3, 3) for n in range(4)]
    wishes = [(box(spot, codes), 0.01) for spot in spots for codes in [WHITE, BLACK] * 5]
    assert counted(wishes) <= MOST


codes = st.sampled_from(
    [BLACK, WHITE, (255.0, 0.0, 0.0), (0.0, 0.0, 255.0), (0.0, 255.0, 0.0), (90.0,) * 3, (76.0,) * 3]
)
rects = st.builds(Rect, st.integers(0, 120), st.integers(0, 60), st.integers(1, 40), st.integers(1, 30))
frames = st.one_of(codes.map(lambda c: field(*c)), st.builds(box, rects, codes, codes))


@settings(max_examples=15, deadline=None)
@given(st.lists(st.tuples(frames, st.sampled_from([0.0, 0.005, 0.02, 0.1, 0.26, 0.51])), min_size=8, max_size=24))
def test_no_order_of_wishes_gets_more_than_three_flashes_a_second_through(wishes: list[tuple[Frame, float]]) -> None:
    assert counted(wishes) <= MOST
