"""Palettes: how bright they are, how well they are read, and how large text is."""

from __future__ import annotations

import math

import numpy as np
import pytest

from panelwear.screen.governor import Viewing, general_flash, harmful_step
from panelwear.screen.light import LINEAR, LUMINANCE_SHARES, light_of
from panelwear.screen.palette import (
    CAPITAL_SHARE,
    DARK,
    LIT,
    TEXT_CONTRAST,
    Palette,
    Role,
    contrast,
    least_text_px,
    page_text_px,
    palette_for,
)

INKS: tuple[Role, ...] = ("ink", "soft")
GROUNDS: tuple[Role, ...] = ("ground", "lifted")
ROLES: tuple[Role, ...] = ("ink", "soft", "line", "accent", "edge", "filled", "lifted", "ground")
PEAKS = (120.0, 300.0, 450.0, 1000.0)


def shown(palette: Palette, role: Role, peak_cd_m2: float) -> float:
    """Luminance of the codes a role really gets."""
    return float(LINEAR[list(palette.codes(role, peak_cd_m2))] @ LUMINANCE_SHARES) * peak_cd_m2


def test_contrast_is_that_of_wcag_where_the_veil_is_its_five_hundredths() -> None:
    # WCAG 2.2, definition of contrast ratio: (L1 + 0.05) / (L2 + 0.05); white on black is 21.
    assert contrast(1.0, 0.0, 0.05) == pytest.approx(21.0)
    # Grey 118 on white is 4.5 : 1 by common practice, with the threshold and slope of IEC 61966-2-1.
    grey = ((119 / 255 + 0.055) / 1.055) ** 2.4
    assert contrast(grey, 1.0, 0.05) == pytest.approx(4.48, abs=0.01)
    assert contrast(3.0, 0.0, 0.0) == math.inf


@pytest.mark.parametrize("peak_cd_m2", PEAKS)
def test_nothing_of_the_dark_palette_shows_more_than_1_cd_m2(peak_cd_m2: float) -> None:
    assert max(shown(DARK, role, peak_cd_m2) for role in ROLES) <= 1.0
    assert shown(DARK, "ink", peak_cd_m2) >= 0.7


@pytest.mark.parametrize("peak_cd_m2", PEAKS)
@pytest.mark.parametrize("palette", [DARK, LIT])
def test_text_stands_7_to_1_against_its_ground_with_the_rooms_light_on_both(
    palette: Palette, peak_cd_m2: float
) -> None:
    for ink in INKS:
        for ground in GROUNDS:
            one, other = shown(palette, ink, peak_cd_m2), shown(palette, ground, peak_cd_m2)
            assert contrast(one, other, palette.room_cd_m2) >= TEXT_CONTRAST * 0.99, (ink, ground)
    labels = shown(palette, "ink", peak_cd_m2), shown(palette, "filled", peak_cd_m2)
    assert contrast(*labels, palette.room_cd_m2) >= TEXT_CONTRAST * 0.99


def test_the_rooms_light_is_that_of_a_lit_desk() -> None:
    # 500 lx at a desk: EN 12464-1; a glass that scatters a twenty-fifth of it: L = E rho / pi.
    assert LIT.room_cd_m2 == pytest.approx(500 * 0.04 / math.pi, rel=0.01)


@pytest.mark.parametrize("peak_cd_m2", PEAKS)
@pytest.mark.parametrize("palette", [DARK, LIT])
def test_what_moves_with_the_choice_is_no_flash(palette: Palette, peak_cd_m2: float) -> None:
    for role in ("accent", "edge", "lifted", "ground"):
        light = shown(palette, role, peak_cd_m2)
        assert not harmful_step(light, 0.0) and not general_flash(light / peak_cd_m2, 0.0)
        assert not harmful_step(light / peak_cd_m2 * 300.0, 0.0)
    codes = np.array([palette.codes(role, peak_cd_m2) for role in ROLES], dtype=np.uint8)
    assert not light_of(codes).saturated.any()


def test_the_dark_palette_holds_little_blue() -> None:
    red, _, blue = LINEAR[list(DARK.codes("ink", 300.0))]
    assert blue < 0.5 * red


def test_rooms_have_their_palettes() -> None:
    assert palette_for("lit") is LIT and palette_for("dark") is DARK


@pytest.mark.parametrize("size", [(1280, 720), (1920, 1080), (2560, 1440), (3840, 2160)])
@pytest.mark.parametrize(
    ("area_mm", "distance_mm"), [((598.0, 336.0), 600.0), ((344.0, 194.0), 450.0), ((1428, 804), 1500.0)]
)
def test_capitals_are_0_4_degrees_high(size: tuple[int, int], area_mm: tuple[float, float], distance_mm: float) -> None:
    viewing = Viewing(*size, active_area_mm=area_mm, distance_mm=distance_mm)
    for text_px in (least_text_px(viewing), page_text_px(viewing)):
        capital_mm = text_px * CAPITAL_SHARE * area_mm[1] / size[1]
        assert math.degrees(2 * math.atan(capital_mm / 2 / distance_mm)) >= 0.4 - 1e-9
    assert least_text_px(viewing) <= page_text_px(viewing) <= size[1] / 22


def test_text_is_the_same_share_of_every_screen() -> None:
    sizes = [page_text_px(Viewing(w, h)) / h for w, h in ((1280, 720), (1920, 1080), (3840, 2160))]
    assert max(sizes) / min(sizes) < 1.03
