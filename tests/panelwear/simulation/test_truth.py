"""True values of the simulated panel against what a perfect probe sees of pixels."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

from panelwear.simulation.ageing import Compensation
from panelwear.simulation.model import HARBOUR_DESK_PANEL, PanelModel, drawn_panel
from panelwear.simulation.panel import PanelState, SimulatedPanel
from panelwear.simulation.truth import WINDOW_PERCENTS, load_of, truth_of
from panelwear.simulation.usage import harbour_desk_zones
from patterns.frame import Picture
from patterns.raster import raster
from patterns.registry import build

W, H = 1280, 720
CENTRE = (W / 2, H / 2)
OLD = SimulatedPanel().at(4400)


def shown(codes: tuple[float, float, float], share: float = 0.1) -> Picture:
    return raster(build("window", W, H, codes=codes, share=share))


def light(state: PanelState, codes: tuple[float, float, float], share: float = 0.1) -> np.ndarray:
    return np.array(state.light(shown(codes, share), CENTRE))


@pytest.mark.parametrize("state", [OLD, SimulatedPanel(drawn_panel(5)).at(1200)], ids=["harbour-desk", "drawn"])
def test_peaks_and_white_are_what_the_pixels_give(state: PanelState) -> None:
    truth = truth_of(state)
    # Grain from pixel to pixel averages to 0.03 % under the aperture; window areas are whole pixels.
    for percent in WINDOW_PERCENTS:
        found = light(state, (255, 255, 255), percent / 100)[1]
        assert truth.peak_cd_m2[f"w{percent}"] == pytest.approx(found, rel=1.5e-3)
    white = light(state, (255, 255, 255))
    assert truth.white_XYZ == pytest.approx(white, rel=1.5e-3)
    assert truth.white_xy == pytest.approx(white[:2] / white.sum(), abs=1e-4)
    assert truth.contrast == pytest.approx(truth.peak_cd_m2["w10"] / truth.black_cd_m2)


def test_primaries_and_additivity_are_what_the_pixels_give() -> None:
    state = SimulatedPanel(PanelModel(white_share=0.6, additivity=1.3)).at(1000)
    truth = truth_of(state)
    parts = {"red": (255, 0, 0), "green": (0, 255, 0), "blue": (0, 0, 255)}
    for hue, codes in parts.items():
        assert truth.primaries_XYZ[hue] == pytest.approx(light(state, codes), rel=1.5e-3)
    assert truth.additivity == pytest.approx(1.3, rel=0.02)


def test_zone_contrasts_are_what_a_perfect_probe_finds() -> None:
    truth = truth_of(OLD)
    zones = {z.name: z for z in harbour_desk_zones(W, H)}
    for name in ("vessel-list", "clock-badge", "quay-camera"):
        for hue, codes in (("grey", (128,) * 3), ("blue", (0, 0, 128))):
            picture = np.full((H, W, 3), codes, dtype=np.uint8)
            at_zone, at_chart = (OLD.light(picture, zones[z].probe_at_px)[1] for z in (name, "chart"))
            assert truth.zone_contrast[name][hue]["c128"] == pytest.approx(at_zone / at_chart - 1, abs=1.5e-3)


def test_signs_of_the_zones_are_those_of_the_scenario() -> None:
    change = truth_of(OLD).zone_change
    assert change["clock-badge"]["grey"]["c180"] > 0.02  # aged less: brighter, inverse burn-in
    assert change["vessel-list"]["grey"]["c180"] < -0.02
    assert abs(change["quay-camera"]["grey"]["c180"]) < 0.002
    assert change["clock-badge"]["blue"]["c64"] > change["clock-badge"]["blue"]["c255"]  # the backplane's part


def test_a_new_panel_has_no_change_and_full_retention() -> None:
    truth = truth_of(SimulatedPanel().at(0))
    assert truth.retention["centre"] == pytest.approx({"red": 1.0, "green": 1.0, "blue": 1.0})
    assert truth.zone_change["vessel-list"]["grey"]["c128"] == pytest.approx(0.0)


def test_retention_predicts_the_primaries() -> None:
    new, old = truth_of(SimulatedPanel().at(0)), truth_of(OLD)
    for hue, left in old.retention["centre"].items():
        assert old.primaries_XYZ[hue][1] / new.primaries_XYZ[hue][1] == pytest.approx(left, rel=1e-4)
    assert old.retention["vessel-list"]["red"] < old.retention["centre"]["red"] < old.retention["clock-badge"]["red"]


def test_blue_wears_most_under_the_blue_grey_chart() -> None:
    left = truth_of(OLD).retention["centre"]
    assert left["blue"] < left["green"] < 1
    assert left["blue"] < left["red"]


def test_compensation_shows_as_a_step_up() -> None:
    panel = SimulatedPanel()
    without = truth_of(panel.at(2000)).peak_cd_m2["w10"]
    after = truth_of(panel.at(2000, [Compensation(2000)])).peak_cd_m2["w10"]
    assert after > 1.005 * without


def test_a_panel_with_a_white_sub_pixel_has_four_retentions() -> None:
    truth = truth_of(SimulatedPanel(replace(HARBOUR_DESK_PANEL, white_share=0.6)).at(1000))
    assert set(truth.retention["centre"]) == {"red", "green", "blue", "white"}


def test_true_values_go_into_json_without_loss() -> None:
    truth = truth_of(OLD)
    data = json.loads(json.dumps(truth.as_json()))
    assert data["peak_cd_m2"]["w10"] == truth.peak_cd_m2["w10"]
    assert data["zone_contrast"]["clock-badge"]["grey"]["c128"] == truth.zone_contrast["clock-badge"]["grey"]["c128"]


def test_load_of_a_window_is_its_share() -> None:
    assert load_of(OLD, (255, 255, 255), 0.25) == pytest.approx(0.25)
    assert load_of(OLD, (0, 0, 0), 0.25, (255, 255, 255)) == pytest.approx(0.75)
