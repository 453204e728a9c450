"""The simulated probe: its spread is what its model says, and it sees the pixels that are there."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from panelwear.colorimetry.basic import xy_of
from panelwear.simulation.behaviour import StaticDimming, WarmUp
from panelwear.simulation.model import PanelModel
from panelwear.simulation.panel import SimulatedPanel
from panelwear.simulation.probe import DEFAULT_PROBE, ProbeModel, Session, SimulatedProbe
from panelwear.simulation.uniformity import EVEN
from patterns.frame import Picture

EVEN_PANEL = SimulatedPanel(PanelModel(uniformity=EVEN)).at(0)
PERFECT = ProbeModel(0.0, 0.0, 0.0, 0.0, 0.0, 10.0, placement_mm=0.0)


def field(code: int) -> Picture:
    return np.full((72, 128, 3), code, dtype=np.uint8)


def many(probe: SimulatedProbe, n: int, integration_s: float = 1.0) -> np.ndarray:
    return np.array([probe(integration_s) for _ in range(n)])


def test_the_default_probe_is_the_documented_one() -> None:
    assert (
        ProbeModel(
            repeatability=0.0015,
            placement=0.0010,
            session_scale=0.005,
            session_xy=0.00025,
            dark_noise_cd_m2=0.003,
            aperture_mm=10.0,
        )
        == DEFAULT_PROBE
    )


def test_a_perfect_probe_reads_the_panels_light() -> None:
    picture = field(200)
    probe = SimulatedProbe(EVEN_PANEL, lambda: picture, PERFECT)
    assert probe(1.0) == pytest.approx(EVEN_PANEL.light(picture, (64, 36)))


def test_repeatability_in_the_light_is_what_the_model_says() -> None:
    readings = many(SimulatedProbe(EVEN_PANEL, lambda: field(200), seed=1), 4000)
    spread = readings.std(axis=0) / readings.mean(axis=0)
    # 4000 readings know a spread to 1.1 %.
    assert spread == pytest.approx(0.0015, rel=0.05)
    common = np.corrcoef(readings.T)[0, 1]
    assert common == pytest.approx(0.8, abs=0.03)


def test_noise_in_the_dark_is_absolute_and_falls_with_the_root_of_the_time() -> None:
    probe = SimulatedProbe(EVEN_PANEL, lambda: field(0), seed=2)
    assert many(probe, 4000).std(axis=0) == pytest.approx(0.003, rel=0.05)
    assert many(probe, 4000, integration_s=4.0).std(axis=0) == pytest.approx(0.0015, rel=0.05)


def test_relative_spread_grows_in_the_dark() -> None:
    spreads = []
    for code in (255, 20, 8):
        readings = many(SimulatedProbe(EVEN_PANEL, lambda code=code: field(code), seed=3), 400)[:, 1]
        spreads.append(readings.std() / readings.mean())
    assert spreads[0] < spreads[1] < spreads[2]


@pytest.mark.slow
def test_putting_it_down_again_scatters_as_the_model_says() -> None:
    model = replace(DEFAULT_PROBE, repeatability=0.0)
    probe = SimulatedProbe(EVEN_PANEL, lambda: field(255), model, seed=4)
    readings = []
    for _ in range(1500):
        probe.put((64.0, 36.0))
        readings.append(probe(100.0)[1])
    assert np.std(readings) / np.mean(readings) == pytest.approx(0.0010, rel=0.06)


def test_it_does_not_scatter_while_it_stays_put() -> None:
    model = replace(DEFAULT_PROBE, repeatability=0.0, dark_noise_cd_m2=0.0)
    probe = SimulatedProbe(EVEN_PANEL, lambda: field(255), model, seed=4)
    probe.put((64.0, 36.0))
    assert many(probe, 5).std(axis=0) == pytest.approx(0.0, abs=1e-12)


def test_sessions_differ_in_scale_and_chromaticity_as_the_model_says() -> None:
    model = replace(DEFAULT_PROBE, repeatability=0.0, placement=0.0, dark_noise_cd_m2=0.0)
    light = np.array(
        [SimulatedProbe(EVEN_PANEL, lambda: field(255), model, seed=5, checkpoint=k)(1.0) for k in range(1500)]
    )
    assert light[:, 1].std() / light[:, 1].mean() == pytest.approx(0.005, rel=0.06)
    assert xy_of(light).std(axis=0) == pytest.approx(0.00025, rel=0.06)


def test_a_session_moves_chromaticity_at_equal_luminance() -> None:
    moved = Session(scale=1.0, dx=0.001, dy=-0.002).distort((95.0, 100.0, 108.0))
    assert moved[1] == pytest.approx(100.0)
    assert xy_of(moved) - xy_of((95.0, 100.0, 108.0)) == pytest.approx([0.001, -0.002])
    assert Session(scale=1.1, dx=0.001).distort((0.0, 0.0, 0.0)) == (0.0, 0.0, 0.0)


def test_same_seed_same_readings() -> None:
    one, other = (many(SimulatedProbe(EVEN_PANEL, lambda: field(90), seed=9, checkpoint=2), 10) for _ in range(2))
    assert np.array_equal(one, other)
    different = many(SimulatedProbe(EVEN_PANEL, lambda: field(90), seed=10, checkpoint=2), 10)
    assert not np.array_equal(one, different)


def test_it_reads_the_pixels_that_are_there_now() -> None:
    shown = {"picture": field(255)}
    probe = SimulatedProbe(EVEN_PANEL, lambda: shown["picture"], PERFECT)
    bright = probe(1.0)[1]
    shown["picture"] = field(0)
    assert bright > 200
    assert probe(1.0)[1] < 0.01


def test_pixels_painted_over_in_place_are_noticed() -> None:
    picture = field(255)
    probe = SimulatedProbe(EVEN_PANEL, lambda: picture, PERFECT)
    full = probe(1.0)[1]
    picture[:, :32] = 0
    assert probe(1.0)[1] > full  # a quarter of the screen dark: the limiter lets go


def test_a_covered_probe_reads_its_own_floor() -> None:
    probe = SimulatedProbe(EVEN_PANEL, lambda: field(255), PERFECT, room_cd_m2=0.5)
    probe.cover()
    assert probe(1.0) == (0.0, 0.0, 0.0)
    probe.cover(False)
    assert probe(1.0)[1] > 200


def test_with_the_panel_off_the_rooms_light_is_left() -> None:
    probe = SimulatedProbe(EVEN_PANEL, lambda: field(255), PERFECT, room_cd_m2=0.05)
    probe.switch_panel(False)
    assert probe(1.0)[1] == pytest.approx(0.05)
    probe.switch_panel(True)
    assert probe(1.0)[1] > 200


def test_warm_up_and_standing_pictures_follow_the_clock() -> None:
    now = {"s": 0.0}
    panel = SimulatedPanel(PanelModel(dimming=StaticDimming(60, 0.8, 1.0))).at(0)
    shown = {"picture": field(128)}
    probe = SimulatedProbe(panel, lambda: shown["picture"], PERFECT, now_s=lambda: now["s"])
    cold = probe(1.0)[1]
    now["s"] = 50.0
    warmer = probe(1.0)[1]
    now["s"] = 200.0
    dimmed = probe(1.0)[1]
    shown["picture"] = field(127)
    probe(1.0)
    shown["picture"] = field(128)
    fresh = probe(1.0)[1]
    assert cold > warmer > fresh > dimmed
    assert dimmed == pytest.approx(0.8 * fresh, rel=1e-3)


def test_a_drifting_probe_drifts_by_the_hour() -> None:
    now = {"s": 0.0}
    model = replace(PERFECT, drift_per_h=0.002)
    warm = SimulatedPanel(PanelModel(warm_up=WarmUp(amplitudes=(0.0, 0.0, 0.0)))).at(0)
    probe = SimulatedProbe(warm, lambda: field(200), model, now_s=lambda: now["s"])
    first = probe(1.0)[1]
    now["s"] = 1800.0
    assert probe(1.0)[1] / first == pytest.approx(1.001)
