"""Light of the simulated panel, from pixels."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest

from panelwear.colorimetry.basic import xy_of
from panelwear.colorimetry.cct import cct_duv
from panelwear.simulation.ageing import NO_AGEING
from panelwear.simulation.behaviour import NO_LIMITER, Limiter, StaticDimming, WarmUp
from panelwear.simulation.model import PanelModel, drawn_panel
from panelwear.simulation.panel import PanelState, SimulatedPanel
from panelwear.simulation.uniformity import EVEN
from panelwear.simulation.usage import harbour_desk_zones
from patterns.frame import Picture, Rect
from patterns.raster import raster
from patterns.registry import build
from sequences.model import Zone
from tests.references import value

W, H = 1280, 720
CENTRE = (W / 2, H / 2)
PLAIN = PanelModel(uniformity=EVEN, limiter=NO_LIMITER, ageing=NO_AGEING, black_cd_m2=0.0)


def field(*codes: int) -> Picture:
    return np.full((H, W, 3), codes if len(codes) == 3 else codes * 3, dtype=np.uint8)


def window(share: float, code: int = 255) -> Picture:
    return raster(build("window", W, H, codes=(float(code),) * 3, share=share))


def zone(name: str) -> Zone:
    return next(z for z in harbour_desk_zones(W, H) if z.name == name)


def luminance(state: PanelState, picture: Picture, at: tuple[float, float] = CENTRE) -> float:
    return state.light(picture, at)[1]


def test_black_is_black_level_and_white_is_peak() -> None:
    state = SimulatedPanel(PLAIN).at(0)
    assert state.light(field(0), CENTRE) == (0.0, 0.0, 0.0)
    assert luminance(state, field(255)) == pytest.approx(410.0)
    dark = SimulatedPanel(replace(PLAIN, black_cd_m2=0.05)).at(0)
    assert luminance(dark, field(0)) == pytest.approx(0.05)


@pytest.mark.parametrize("gamma", [1.8, 2.2, 2.6])
def test_luminance_follows_the_power_law_of_the_code(gamma: float) -> None:
    state = SimulatedPanel(replace(PLAIN, gammas=(gamma,) * 3)).at(0)
    assert luminance(state, field(128)) / luminance(state, field(255)) == pytest.approx((128 / 255) ** gamma)


def test_one_code_at_mid_grey_is_the_published_step() -> None:
    record = value("BAND-8BIT")
    state = SimulatedPanel(PLAIN).at(0)
    assert luminance(state, field(129)) / luminance(state, field(128)) - 1 == pytest.approx(
        record["expected"], abs=1e-6
    )


def test_new_panel_is_6720_kelvin_and_moves_towards_6560_in_a_heavy_year() -> None:
    panel = SimulatedPanel()
    white = [float(cct_duv(panel.at(h).light(window(0.1), CENTRE))[0]) for h in (0, 4400)]
    assert white[0] == pytest.approx(6720, abs=5)
    assert white[1] == pytest.approx(6563, abs=10)


def test_limiter_leaves_288_at_a_full_field_and_more_in_small_windows() -> None:
    state = SimulatedPanel().at(0)
    peaks = [luminance(state, window(share)) for share in (0.01, 0.10, 0.25, 0.5, 0.75, 1.0)]
    assert peaks[0] == pytest.approx(peaks[1], rel=1e-9)
    assert peaks[0] == pytest.approx(410, rel=2e-3)
    assert peaks[-1] == pytest.approx(288, rel=2e-3)
    assert all(a >= b for a, b in itertools.pairwise(peaks))


def test_limiter_follows_the_light_shown_and_not_the_area() -> None:
    state = SimulatedPanel().at(0)
    assert state.load(field(255)) == pytest.approx(1.0)
    assert state.load(window(0.25)) == pytest.approx(0.25, abs=1e-3)
    # A full field at half the drive loads as half the area of white does.
    assert state.load(field(186)) == pytest.approx((186 / 255) ** 2.2)
    assert state.load(field(255, 0, 0)) + state.load(field(0, 255, 255)) == pytest.approx(1.0)


def test_primaries_have_their_chromaticity() -> None:
    state = SimulatedPanel(PLAIN).at(0)
    for codes, xy in zip(((255, 0, 0), (0, 255, 0), (0, 0, 255)), PLAIN.primaries_xy, strict=True):
        assert xy_of(state.light(field(*codes), CENTRE)) == pytest.approx(xy)


def test_a_spatial_mix_has_the_mean_light_of_its_codes() -> None:
    state = SimulatedPanel(PLAIN).at(0)
    mixed = raster(build("field", W, H, codes=(128.4375,) * 3))
    low, high = luminance(state, field(128)), luminance(state, field(129))
    # 21 px aperture: the mix is exact to 1/128 of a code step there.
    assert luminance(state, mixed) == pytest.approx(low + 0.4375 * (high - low), abs=(high - low) / 128)


def test_a_narrow_strip_reads_as_its_filled_share_of_the_aperture() -> None:
    state = SimulatedPanel(PLAIN).at(0)
    pixels_per_mm = H / PLAIN.active_area_mm[1]
    half = round(2.5 * pixels_per_mm)
    strip = field(0)
    strip[H // 2 - half : H // 2 + half] = 255
    k = 2 * half / pixels_per_mm / 10
    filled = 2 / math.pi * (math.asin(k) + k * math.sqrt(1 - k * k))  # area of a circle's middle strip
    assert luminance(state, strip) / luminance(state, field(255)) == pytest.approx(filled, abs=2e-3)


def test_the_aperture_only_sees_what_lies_under_it() -> None:
    state = SimulatedPanel(PLAIN).at(0)
    picture = field(0)
    picture[:, : W // 2] = 255
    assert luminance(state, picture, (W * 0.25, H / 2)) == pytest.approx(410)
    assert luminance(state, picture, (W * 0.75, H / 2)) == pytest.approx(0.0)
    assert luminance(state, picture, (W / 2, H / 2)) == pytest.approx(205, rel=1e-6)


def test_over_the_edge_of_the_panel_it_is_dark() -> None:
    state = SimulatedPanel(PLAIN).at(0)
    assert luminance(state, field(255), (0.0, H / 2)) == pytest.approx(205, rel=1e-6)
    assert luminance(state, field(255), (-100.0, H / 2)) == 0.0


@pytest.mark.parametrize(("name", "sign"), [("clock-badge", 1), ("vessel-list", -1), ("route-line", -1)])
def test_zones_turn_brighter_or_darker_than_the_chart_as_they_aged_less_or_more(name: str, sign: int) -> None:
    panel = SimulatedPanel()
    at, reference = zone(name).probe_at_px, zone("chart").probe_at_px
    contrast = [
        luminance(panel.at(h), field(128), at) / luminance(panel.at(h), field(128), reference) for h in (0, 500, 4400)
    ]
    change = [c / contrast[0] - 1 for c in contrast[1:]]
    assert sign * change[0] > 0.002
    assert sign * change[1] > sign * change[0]
    assert sign * change[1] > 0.02


def test_the_camera_zone_ages_as_the_chart_does() -> None:
    panel = SimulatedPanel()
    at, reference = zone("quay-camera").probe_at_px, zone("chart").probe_at_px
    new, old = (
        luminance(panel.at(h), field(128), at) / luminance(panel.at(h), field(128), reference) for h in (0, 4400)
    )
    assert old / new == pytest.approx(1.0, abs=0.002)


def test_an_unlit_zone_beside_a_worn_field_has_the_inverse_contrast() -> None:
    # Never-lit bar beside a field of retention r: contrast 1/r - 1 (Weber, derived).
    usage = tuple(replace(c, drive_cd_m2=(0.0,) * 3) if c.zone == "clock-badge" else c for c in PanelModel().usage)
    model = PanelModel(usage=usage, uniformity=EVEN)
    state = SimulatedPanel(replace(model, ageing=replace(model.ageing, backplane_per_kh=0.0))).at(4400)
    at, reference = zone("clock-badge").probe_at_px, zone("chart").probe_at_px
    worn, unlit = (luminance(state, field(0, 0, 255), place) for place in (reference, at))
    new = luminance(state.panel.at(0), field(0, 0, 255), reference)
    assert unlit / worn - 1 == pytest.approx(new / worn - 1)
    assert unlit / worn - 1 > 0.03


def test_warm_up_ends_where_the_warm_panel_is() -> None:
    state = SimulatedPanel(replace(PLAIN, warm_up=WarmUp(amplitudes=(0.01,) * 3, tau_s=100))).at(0)
    warm = luminance(state, field(255))
    assert state.light(field(255), CENTRE, on_s=0)[1] == pytest.approx(1.01 * warm)
    assert state.light(field(255), CENTRE, on_s=5000)[1] == pytest.approx(warm)


def test_a_standing_picture_dims_only_where_the_panel_does_that() -> None:
    dims = SimulatedPanel(replace(PLAIN, dimming=StaticDimming(60, 0.8, 10))).at(0)
    assert dims.light(field(255), CENTRE, standing_s=1e4)[1] == pytest.approx(0.8 * 410)
    assert SimulatedPanel(PLAIN).at(0).light(field(255), CENTRE, standing_s=1e4)[1] == pytest.approx(410)


def test_native_unevenness_is_there_when_new_and_small() -> None:
    state = SimulatedPanel().at(0)
    places = [(W * x, H * y) for x in (0.1, 0.3, 0.5, 0.7, 0.9) for y in (0.1, 0.5, 0.9)]
    levels = np.array([luminance(state, field(100), at) for at in places])
    assert 0.002 < levels.std() / levels.mean() < 0.03


def test_the_same_panel_comes_from_the_same_seed() -> None:
    assert drawn_panel(3) == drawn_panel(3)
    assert drawn_panel(3) != drawn_panel(4)


@pytest.mark.parametrize("seed", range(12))
def test_drawn_panels_are_possible_panels(seed: int) -> None:
    model = drawn_panel(seed)
    panel = SimulatedPanel(model)
    assert (panel.emission.rows[:3] > 0).all()
    assert all(1.7 < g < 2.7 for g in model.gammas)
    assert 0 < luminance(panel.at(5000), window(0.1)) < luminance(panel.at(0), window(0.1))
    assert isinstance(model.limiter, Limiter)


def test_zones_scale_with_the_screen_and_stay_on_it() -> None:
    for width, height in ((1280, 720), (1366, 768), (3840, 2160), (3440, 1440)):
        for found in harbour_desk_zones(width, height):
            assert 0 <= found.rect.x < found.rect.right <= width
            assert 0 <= found.rect.y < found.rect.bottom <= height
    assert zone("vessel-list").rect == Rect(0, 0, 256, 720)
    assert [z.reference for z in harbour_desk_zones(W, H)] == ["", "chart", "chart", "chart", "chart"]


def test_the_route_line_is_as_wide_as_the_default_aperture_and_no_wider() -> None:
    height_mm = zone("route-line").rect.h * PanelModel().active_area_mm[1] / H
    assert height_mm == pytest.approx(10.0, abs=0.5)
