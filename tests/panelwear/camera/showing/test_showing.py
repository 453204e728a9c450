"""Maps as pictures: one gain, in light; clipped cells marked; films that never flicker."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from panelwear.camera.showing import sheets
from panelwear.camera.showing.tone import GAIN, NOT_SEEN, TOO_BRIGHT, TOO_DARK, own_mean, pixels, shown
from panelwear.camera.showing.views import telling, views_of
from panelwear.camera.synthetic import GREY, MadeNoise, synthetic_map
from panelwear.camera.wear.findings import MapEnd
from panelwear.compare.comparison import End
from patterns.frame import Rect

PX = (1280, 720)
RECT = Rect(320, 160, 320, 320)


def ends(count: int = 3, **how) -> list[MapEnd]:
    maps = [synthetic_map(((RECT, -0.02 * n),), MadeNoise(0.001), seed=n, panel_px=PX, **how) for n in range(count)]
    return [MapEnd(End(f"c{n}", 1000.0 * n, f"2026-0{n + 1}-01"), (one,)) for n, one in enumerate(maps)]


def light(code: float) -> float:
    """Return the light of an sRGB code: IEC 61966-2-1, from memory."""
    v = code / 255
    return v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4


def test_as_it_is_a_screen_shows_the_panels_own_ratio_of_light_and_exaggerated_n_times_it():
    relative = np.array([[0.0, -0.03, 0.03]])
    for gain in (1, GAIN):
        codes = shown(relative, gain).value[0]
        ratios = [light(code) / light(codes[0]) for code in codes[1:]]
        assert ratios == pytest.approx([1 - 0.03 * gain, 1 + 0.03 * gain], rel=1e-3)


def test_one_gain_for_all_whatever_they_hold():
    quiet, loud = (shown(np.array([[0.0, size]]), GAIN).value[0, 0] for size in (0.001, 0.5))
    assert quiet == loud


def test_what_cannot_be_shown_is_marked_and_not_bent():
    made = pixels(shown(np.array([[0.0, 1.0, -0.2, np.nan]]), GAIN), times=2)
    assert made.shape == (2, 8, 3)
    assert [tuple(made[0, 2 * n]) for n in (1, 2, 3)] == [TOO_BRIGHT, TOO_DARK, NOT_SEEN]
    assert len(set(made[0, 0])) == 1


def test_grain_is_fixed_small_and_keeps_the_mean():
    one = shown(np.full((60, 80), 0.0123), 1)
    grained = [pixels(one, 3, grain=True).astype(float)[:, :, 0] for _ in range(2)]
    np.testing.assert_array_equal(*grained)
    assert np.abs(grained[0] - one.value[0, 0]).max() <= 1.5
    # TPDF of ± 1 with rounding has a standard deviation of 0.5: 43,200 pixels tell the mean to 0.0024.
    assert grained[0].mean() == pytest.approx(one.value[0, 0], abs=0.01)
    assert np.std(grained[0]) == pytest.approx(0.5, abs=0.02)


def test_views_are_each_field_as_it_is_exaggerated_and_as_it_changed():
    made = views_of(ends())
    assert [view.key for view in made] == ["grey-20cd-x1", "grey-20cd-x8", "grey-20cd-change-x8"]
    assert [head for head, _ in made[0].frames] == ["0 h, 2026-01-01", "1000 h, 2026-02-01", "2000 h, 2026-03-01"]
    assert made[1].title == "Grey 20 cd/m², exaggerated × 8 about its mean"
    assert "Simulated photographs" in made[0].about
    assert telling(made) == (made[2],)
    assert own_mean(ends()[0].maps[0]).mean() == pytest.approx(0, abs=1e-6)


def test_where_the_lens_is_still_in_the_maps_it_is_never_exaggerated():
    assert [view.key for view in views_of(ends(shading="same-set-up"))] == ["grey-20cd-x1", "grey-20cd-change-x8"]


def test_a_map_that_does_not_pair_is_left_out_of_the_row():
    three = ends()
    other = replace(three[1].maps[0], shot=replace(GREY, codes=(90.0, 90.0, 90.0)))
    made = views_of([three[0], replace(three[1], maps=(other,)), three[2]])
    assert [head for head, _ in made[0].frames] == ["0 h, 2026-01-01", "2000 h, 2026-03-01"]


@pytest.mark.parametrize("size", sheets.STILLS)
def test_a_still_holds_the_maps_own_pixels(size):
    view = views_of(ends())[1]
    made = sheets.still(view, 2, size)
    assert made.shape == (size.height_px, size.width_px, 3)
    times = 3 if size.width_px == 1920 else 6
    part = pixels(view.frames[2][1], times)
    (place,) = sheets._places(1, view.frames[0][1].value.shape, size)
    assert place.times == times
    np.testing.assert_array_equal(made[place.y : place.y + part.shape[0], place.x : place.x + part.shape[1]], part)


@pytest.mark.parametrize("count", [1, 2, 3, 7, 12])
def test_maps_in_a_row_lie_inside_the_picture_and_not_over_each_other(count):
    cells = (270, 480)
    for size in (*sheets.STILLS, sheets.FILM):
        places = sheets._places(count, cells, size)
        taken = np.zeros((size.height_px, size.width_px), int)
        for place in places:
            scale = place.times if place.times > 0 else -1 / place.times
            taken[place.y : place.y + int(cells[0] * scale), place.x : place.x + int(cells[1] * scale)] += 1
        assert taken.max() == 1
        assert taken.sum() == pytest.approx(count * int(cells[0] * scale) * int(cells[1] * scale))


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_a_film_comes_back_frame_by_frame_and_changes_at_most_once_a_second(kind):
    view = views_of(ends(2))[2]
    wanted = list(sheets.film(view, sheets.SheetSize(640, 360)))
    film = Image.open(io.BytesIO(sheets.animated(iter(wanted), kind)))
    assert film.n_frames == len(wanted) == 2 * sheets.FADE_FRAMES
    for number, (frame, _) in enumerate(wanted):
        film.seek(number)
        np.testing.assert_array_equal(np.asarray(film.convert("RGB")), frame)
    assert sheets.HOLD_MS + sheets.FADE_MS >= 1000 and sheets.HOLD_MS >= 1000
    assert sum(ms for _, ms in wanted) / len(view.frames) >= 2000


def test_no_pixel_goes_up_and_down_within_a_fade():
    view = views_of(ends(2))[2]
    frames = np.array(
        [f.astype(int) for f, _ in sheets.film(view, sheets.SheetSize(640, 360))][: sheets.FADE_FRAMES + 1]
    )
    steps = np.diff(frames, axis=0)
    assert not ((steps > 0).any(axis=0) & (steps < 0).any(axis=0)).any()


def test_identical_frames_in_a_row_are_merged():
    frame = np.full((20, 30, 3), 90, np.uint8)
    other = frame + 10
    film = Image.open(io.BytesIO(sheets.animated(iter([(frame, 500), (frame, 500), (other, 500)]), "PNG")))
    assert film.n_frames == 2 and film.info["duration"] == 1000
