"""Geometry frame, probe target, title card, near-black and near-white steps."""

from __future__ import annotations

import numpy as np
import pytest

from patterns import Frame, PatternError, Rect, build, raster
from patterns.font import fitting_scale, glyph, text_mask
from patterns.place import runs
from tests.patterns.sizes import SIZES, expected_of

BIG = [size for size in SIZES if size != (1, 1)]


def lit_of(frame: Frame) -> np.ndarray:
    return np.asarray((raster(frame) != np.uint8(frame.background)).any(axis=2))


def expected_geometry(width: int, height: int) -> np.ndarray:
    """Say the geometry frame again in plain loops over lines."""
    lit = np.zeros((height, width), dtype=bool)
    lit[0], lit[-1], lit[:, 0], lit[:, -1] = True, True, True, True
    mid_x, mid_y = (width - 1) // 2, (height - 1) // 2
    half_w, half_h = width // 4, height // 4
    for y in {mid_y, height - 1 - mid_y}:
        lit[y, mid_x - half_w + 1 : width - 1 - mid_x + half_w] = True
    for x in {mid_x, width - 1 - mid_x}:
        lit[mid_y - half_h + 1 : height - 1 - mid_y + half_h, x] = True
    short = min(width, height)
    arm = max(short // 16, 8)
    for flip_x in (False, True):
        for flip_y in (False, True):
            view = lit[::-1] if flip_y else lit
            view = view[:, ::-1] if flip_x else view
            view[8:11, 8 : 8 + arm] = True
            view[8 : 8 + arm, 8:11] = True
    side = max(short // 8, 8)
    left, top = max(width // 8 - side // 2 + 2, 2), max(height // 8 - side // 2 + 2, 2)
    x0, y0 = (width - side) // 2, (height - side) // 2
    for k in range(0, side, 2):
        for x in (left + k, width - left - side + k):
            lit[y0 : y0 + side, x] = True
        for y in (top + k, height - top - side + k):
            lit[y, x0 : x0 + side] = True
    return lit


@pytest.mark.parametrize(("width", "height"), [*BIG, (64, 64), (65, 64), (101, 333)])
def test_every_pixel_of_the_geometry_frame(width: int, height: int) -> None:
    frame = build("geometry", width, height, codes=(200, 100, 50), background=(1, 1, 1))
    expected = expected_geometry(width, height)
    assert np.array_equal(raster(frame), np.where(expected[..., None], np.uint8([200, 100, 50]), np.uint8([1, 1, 1])))
    assert frame.lit_share == pytest.approx(expected.mean())


@pytest.mark.parametrize(("width", "height"), BIG)
def test_losing_or_scaling_one_line_changes_the_geometry_frame(width: int, height: int) -> None:
    lit = lit_of(build("geometry", width, height))
    assert lit[0].all() and lit[-1].all() and lit[:, 0].all() and lit[:, -1].all()
    assert not np.array_equal(np.roll(lit, 1, axis=0), lit)
    assert not np.array_equal(np.roll(lit, 1, axis=1), lit)


def test_a_screen_too_small_for_the_marks_is_refused() -> None:
    with pytest.raises(PatternError, match="at least 64 x 64"):
        build("geometry", 63, 64)


def test_the_target_shows_millimetres() -> None:
    # 4 px a millimetre, lines 1 px (0.2 mm = 0.8 px), a square of 20 mm = 80 px round (200, 150).
    frame = build("target", 400, 300, codes=(50, 60, 70), at_px=(200, 150), pitch_mm=(0.25, 0.25), size_mm=20)
    lit = lit_of(frame)
    assert frame.rect == Rect(160, 110, 80, 80)
    # The cross reaches 16 mm = 64 px to each side, one pixel thick (its middle is a pixel edge: it goes right, down).
    # Its last ticks, at 16 mm, stand at 136 and 264.
    assert lit[150, 136:265].all()
    assert not lit[150, 135]
    assert not lit[150, 265]
    assert lit[86:215, 200].all()
    # Ticks at 1, 5 and 10 mm to the right: 0.6, 1.2 and 2 mm up and down: 2.4, 4.8 and 8 px.
    for mm, reach in ((1, 2), (5, 5), (10, 8)):
        x = 200 + 4 * mm
        assert lit[150 - reach + 1 : 150 + reach, x].all()
        assert not lit[150 - reach - 2, x]
    # Brackets: three pixels thick on the square's corners, arms of 5 mm.
    assert lit[109:111, 160:180].all()
    assert lit[110:130, 159:161].all()
    assert not lit[109:111, 182:190].any()
    assert (raster(frame)[lit] == (50, 60, 70)).all()


def test_the_target_is_the_same_to_left_and_right_and_cut_at_the_edge() -> None:
    lit = lit_of(build("target", 401, 301, pitch_mm=(0.25, 0.25), size_mm=20))
    assert np.array_equal(lit, lit[:, ::-1])
    assert np.array_equal(lit, lit[::-1])
    cut = lit_of(build("target", 400, 300, at=(0.0, 0.0), pitch_mm=(0.25, 0.25), size_mm=20))
    whole = lit_of(build("target", 400, 300, at_px=(200, 150), pitch_mm=(0.25, 0.25), size_mm=20))
    assert np.array_equal(cut[:100, :100], whole[150:250, 200:300])


def test_the_former_place_is_marked_where_it_was() -> None:
    plain = lit_of(build("target", 800, 600, pitch_mm=(0.1, 0.1), size_mm=40))
    marked = lit_of(build("target", 800, 600, pitch_mm=(0.1, 0.1), size_mm=40, before_mm=(6.5, -12.5)))
    added = marked & ~plain
    y, x = np.nonzero(added)
    # The hollow square of 3 mm (30 px) round (400 + 65, 300 - 125), and the arrow from it to the middle.
    assert x.max() in range(479, 482)
    assert y.min() in range(158, 161)
    assert added[175, 465] == np.False_
    assert marked[160, 455:475].all()
    assert x.min() >= 370
    small = lit_of(build("target", 800, 600, pitch_mm=(0.1, 0.1), size_mm=40, before_mm=(1.5, 1.5)))
    assert (small & ~plain).sum() < 150


def test_lines_get_thicker_with_finer_pixels() -> None:
    # 0.05 mm pixels: 0.2 mm are 4 px.
    lit = lit_of(build("target", 3840, 2160, pitch_mm=(0.05, 0.05), size_mm=40))
    column = lit[:, 1920 - 500]
    assert column[1078:1082].all()


def test_near_black_patches_have_their_codes_and_readable_labels() -> None:
    frame = build("near-black", 800, 600, levels=(1, 2, 3, 4), label_code=40)
    picture = raster(frame)
    # 2 x 2 cells of 400 x 300: patches 200 x 150 at (100, 75) in each.
    for i, code in enumerate((1, 2, 3, 4)):
        x, y = (i % 2) * 400 + 100, (i // 2) * 300 + 75
        assert (picture[y : y + 150, x : x + 200] == code).all()
        assert (picture[y - 70 : y - 1, x : x + 200] == 0).all()
        below = picture[y + 150 : y + 225, x : x + 200, 0]
        assert set(np.unique(below)) == {0, 40}
        scale = 4
        rows = np.flatnonzero((below == 40).any(axis=1))
        assert rows.max() - rows.min() + 1 == 7 * scale
        columns = np.flatnonzero((below == 40).any(axis=0))
        drawn = (below == 40)[rows.min() : rows.max() + 1, columns.min() : columns.max() + 1]
        digit = text_mask(str(code), scale)[: 7 * scale]
        inked = np.flatnonzero(digit.any(axis=0))
        assert np.array_equal(drawn, digit[:, inked.min() : inked.max() + 1])
    assert frame.lit_share == 0.25


@pytest.mark.parametrize(("width", "height"), BIG)
def test_every_pixel_of_near_black_and_near_white_without_labels(width: int, height: int) -> None:
    for name, base, off in (("near-black", 0, 0), ("near-white", 255, 255)):
        levels = (5, 6, 7, 8, 9) if base == 0 else (250, 251, 252, 253, 254)
        frame = build(name, width, height, levels=levels, label_code=off)
        expected = expected_of(width, height, (base, base, base))
        xs = [int(np.floor(i * width / 3 + 0.5)) for i in range(4)]
        ys = [int(np.floor(j * height / 2 + 0.5)) for j in range(3)]
        for i, level in enumerate(levels):
            c, r = i % 3, i // 3
            w, h = xs[c + 1] - xs[c], ys[r + 1] - ys[r]
            x, y = xs[c] + w // 4, ys[r] + h // 4
            expected[y : y + h // 2, x : x + w // 2] = level
        assert np.array_equal(raster(frame), expected)


def test_steps_of_a_primary_stay_in_that_primary() -> None:
    picture = raster(build("near-white", 640, 480, codes=(0, 255, 0)))
    assert (picture[..., 0] == 0).all()
    assert (picture[..., 2] == 0).all()
    assert picture[0, 0].tolist() == [0, 255, 0]
    with pytest.raises(PatternError, match="at least 64 x 64"):
        build("near-black", 63, 200)


def test_the_title_card_can_be_read_back_dot_by_dot() -> None:
    frame = build("title-card", 1366, 768, panel="harbour-desk", hours="1460 h", date="2026-02-03", field="grey 128")
    text = "panel: harbour-desk\nhours: 1460 h\ndate:  2026-02-03\nfield: grey 128"
    scale = min(1366 * 3 // 4 // (19 * 6 - 1), 768 * 3 // 4 // 45)
    assert scale == 9
    mask = text_mask(text, scale)
    expected = np.zeros((768, 1366), dtype=bool)
    y, x = (768 - mask.shape[0]) // 2, (1366 - mask.shape[1]) // 2
    expected[y : y + mask.shape[0], x : x + mask.shape[1]] = mask
    assert np.array_equal(raster(frame), expected[..., None] * np.uint8([80, 80, 80]))
    assert frame.lit_share == expected.mean()


def test_a_title_card_is_dim_and_its_text_is_part_of_its_geometry() -> None:
    one = build("title-card", 640, 480, panel="harbour-desk", hours="0 h")
    other = build("title-card", 640, 480, panel="harbour-desk", hours="500 h")
    assert one.geometry_sha256() != other.geometry_sha256()
    assert raster(one).max() == 80


def test_long_lines_of_a_title_card_are_broken_before_they_get_too_small() -> None:
    frame = build("title-card", 320, 480, panel="a wall panel with a very long name indeed, by the window")
    assert dict(frame.shape)["text"].count("\n") >= 1  # type: ignore[union-attr]
    whole = build("title-card", 3840, 2160, panel="a wall panel with a very long name indeed, by the window")
    assert "\n" not in str(dict(whole.shape)["text"])
    with pytest.raises(PatternError, match="the text needs"):
        build("title-card", 40, 40, panel="harbour-desk")
    with pytest.raises(PatternError, match="nothing to write"):
        build("title-card", 640, 480)


def test_the_font_draws_every_printable_character_differently() -> None:
    shapes = {chr(code): glyph(chr(code)).tobytes() for code in range(32, 127)}
    assert len(set(shapes.values())) == 95
    assert not glyph(" ").any()
    assert glyph("1").astype(int)[:7].tolist() == [
        [0, 0, 1, 0, 0],
        [0, 1, 1, 0, 0],
        [0, 0, 1, 0, 0],
        [0, 0, 1, 0, 0],
        [0, 0, 1, 0, 0],
        [0, 0, 1, 0, 0],
        [0, 1, 1, 1, 0],
    ]
    assert np.array_equal(glyph("ñ"), glyph("n"))
    assert np.array_equal(glyph("漢"), glyph("\ufffd"))
    assert fitting_scale("ab", 22, 18) == 2
    assert text_mask("a\nbc").shape == (21, 11)


def test_runs_cover_exactly_the_mask() -> None:
    mask = np.random.default_rng(5).random((40, 50)) < 0.4
    mask[10:14] = mask[10]
    picture = np.zeros((50, 70), dtype=int)
    for rect in runs(mask, 7, 3):
        picture[rect.y : rect.bottom, rect.x : rect.right] += 1
    assert np.array_equal(picture[3:43, 7:57], mask.astype(int))
    assert picture.sum() == mask.sum()
