"""Fall-off, bands and filters: against the cos⁴ table, the bands' formula and the panel's own physics."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from panelwear.simulation.aperture import Seen
from panelwear.simulation.camera.exposing import Optics, Room, even_surface, frame_shading
from panelwear.simulation.camera.flicker import band_amplitude, row_factors
from panelwear.simulation.camera.model import Flicker, Lens, Pose, Sensor, filter_index
from panelwear.simulation.camera.shading import barrel, cos4
from panelwear.simulation.model import HARBOUR_DESK_PANEL
from patterns import build, raster
from tests.panelwear.simulation.camera.small import SIZE, camera, surface
from tests.references import value


def test_cos4_is_the_tables() -> None:
    record = value("LENS-COS4")
    tangents = np.tan(np.radians(record["inputs"]["angle_deg"]))
    assert cos4(tangents**2) == pytest.approx(record["expected"], abs=record["tolerance"])


def test_the_frame_falls_off_by_angle_and_barrel() -> None:
    lens = Lens(focal_mm=36.0, f_number=3.6, widest_f_number=1.8, vignetting=0.4)
    one = replace(camera(), lens=lens)  # 36 x 24 mm: half a width of 18 mm is seen at atan(0.5)
    found = frame_shading(one)
    assert found.shape == (1000, 1500)
    assert found[500, 750] == pytest.approx(1.0, abs=1e-5)
    edge = math.cos(math.atan(17.988 / 36)) ** 4 * (1 - 0.1 * (749.5 / math.hypot(750, 500)) ** 4)
    assert found[500, 1499] == pytest.approx(edge, rel=1e-4)
    assert barrel(replace(lens, f_number=1.8), 1.0) == pytest.approx(0.6)
    assert barrel(replace(lens, f_number=8.0), 1.0) == pytest.approx(1 - 0.4 * (1.8 / 8) ** 2)


def test_bands_have_the_formulas_amplitude() -> None:
    record = value("BAND")
    put_in = record["inputs"]
    for f, exposure_s, expected in zip(put_in["f_hz"], put_in["T_s"], record["expected"], strict=True):
        flicker = Flicker(f, 1.0)
        assert band_amplitude(flicker, exposure_s) == pytest.approx(expected, abs=record["tolerance"])
        rows = row_factors(flicker, exposure_s, 3001, 1.0 / f, 0.3)  # one whole period over the rows
        assert (rows.max() - rows.min()) / 2 == pytest.approx(expected, abs=record["tolerance"])
        assert rows[:-1].mean() == pytest.approx(1.0, abs=1e-9)


def test_row_factors_are_the_mean_of_the_light_over_the_exposure() -> None:
    flicker, exposure_s, phase = Flicker(60.0, 0.2), 0.03, 0.15
    rows = row_factors(flicker, exposure_s, 5, 0.02, phase)
    for row in range(5):
        at = row / 4 * 0.02 + (np.arange(40_000) + 0.5) / 40_000 * exposure_s
        light = 1 + 0.2 * np.cos(2 * np.pi * (60.0 * at + phase))
        assert rows[row] == pytest.approx(light.mean(), abs=1e-8)


def test_the_surface_lights_a_picture_as_the_panel_does() -> None:
    one = surface(4400.0)
    picture = raster(build("smooth-ramp", *SIZE))
    light = one.light(picture)
    state = one.state
    rng = np.random.default_rng(3)
    columns, rows = rng.integers(0, SIZE[0], 200), rng.integers(0, SIZE[1], 200)
    spot = state.pixel_spot(Seen(rows, columns, np.full(200, 1 / 200)), *SIZE)
    drive = state.panel.emission.curves[np.arange(3), picture[rows, columns]]
    wanted = state.panel.emission.driven(drive, spot)[:, :3] * state.panel.emission.rows[:3, 1]
    wanted *= float(state.model.limiter.gain(state.load(picture)))
    assert pytest.approx(wanted, rel=2e-5, abs=1e-6) == light[:, rows, columns].T


def test_a_white_sub_pixel_takes_its_share() -> None:
    model = replace(HARBOUR_DESK_PANEL, white_share=0.6)
    one = surface(0.0, SIZE, model)
    picture = raster(build("field", *SIZE, codes=(180.0, 120.0, 90.0)))
    light = one.light(picture)
    assert light.shape == (4, 540, 960)
    state = one.state
    # The means over the panel are those of a probe that sees all of it, up to the grain's own mean.
    whole = state.light(picture, (480.0, 270.0), 100.0)[1] - float(state.panel.emission.black[1])
    near = light[:, 200:340, 400:560].sum(axis=0).mean()
    assert near == pytest.approx(whole, rel=0.01)


def test_electrons_are_those_of_luminance_time_aperture_and_filter() -> None:
    sensor = Sensor(size_px=(300, 200), pitch_um=120.0)
    one = camera(sensor, k1=0.0, k2=0.0, f_number=4.0)
    panel = surface(0.0, (96, 54), replace(HARBOUR_DESK_PANEL, black_cd_m2=0.0))
    optics = Optics(one, Pose(), panel, room=Room(0.0, 0.0))
    picture = raster(build("field", 96, 54, codes=(0.0, 200.0, 0.0)))
    frame = optics.electrons(picture, 0.5) / frame_shading(one)
    green = panel.light(picture)[1].mean()
    for which, name in enumerate("RGB"):
        there = np.tile(filter_index(sensor.bayer) == which, (100, 150))
        inside = np.zeros_like(there)
        inside[60:140, 80:220] = True
        found = frame[there & inside].mean()
        assert found == pytest.approx(sensor.electrons[which][1] * green * 0.5 / 16, rel=0.01), name
    assert frame[:20].max() == 0.0  # beside the panel


def test_an_even_surface_shows_the_lens_alone() -> None:
    one = camera()
    frame = even_surface(one, 100.0, 0.1, surface(0.0, (96, 54)))
    green = frame[0::2, 1::2]
    alone = frame_shading(one)[0::2, 1::2]
    assert np.abs(green / green[250, 375] / (alone / alone[250, 375]) - 1).max() < 1e-5
    assert 40_000 < green[250, 375] / (100 * 0.1 / 64) < 44_000


def test_a_large_panel_is_lit_as_the_panel_does_but_for_the_edges_of_zones() -> None:
    one = surface(4400.0, (3840, 2160))
    picture = raster(build("field", 3840, 2160, codes=(150.0,) * 3))
    light, state = one.light(picture), one.state
    rng = np.random.default_rng(4)
    columns, rows = rng.integers(0, 3840, 4000), rng.integers(0, 2160, 4000)
    spot = state.pixel_spot(Seen(rows, columns, np.full(4000, 1 / 4000)), 3840, 2160)
    drive = state.panel.emission.curves[np.arange(3), picture[rows, columns]]
    wanted = state.panel.emission.driven(drive, spot)[:, :3] * state.panel.emission.rows[:3, 1]
    wanted *= float(state.model.limiter.gain(state.load(picture)))
    off = np.abs(light[:, rows, columns].T / wanted - 1)
    assert np.quantile(off, 0.95) < 1e-5
    # Interpolating over 4 pixels at the kink of a 6 % zone with an edge of 11.5 pixels: slope x 4 / 4.
    assert off.max() < 0.06 / 11.5


def test_light_that_depends_on_the_angle_falls_as_the_power_of_its_cosine() -> None:
    panel = surface(0.0, (480, 270))
    picture = raster(build("field", 480, 270, codes=(0.0, 200.0, 0.0)))
    one, pose = camera(Sensor(size_px=(750, 500), pitch_um=48.0), k1=0.0, k2=0.0), Pose(fill=0.8, turn_deg=20.0)
    plain, falling = (
        Optics(one, pose, panel, room=Room(0.0, 0.0, power)).electrons(picture, 0.1) for power in (0.0, 2.0)
    )
    view = Optics(one, pose, panel).view
    for place in ((100.0, 60.0), (240.0, 135.0), (400.0, 220.0)):
        x, y = (int(at) for at in view.to_frame(place))
        assert falling[y, x] / plain[y, x] == pytest.approx(float(view.obliqueness(*place)) ** 2, rel=1e-3)
