"""What is kept as true: cells, zones, and that the noise-free photograph agrees with both."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from panelwear.camera.field_map import cell_edges
from panelwear.camera.shots import Shot
from panelwear.simulation.camera.exposing import Optics, Room, frame_shading
from panelwear.simulation.camera.model import Pose
from panelwear.simulation.camera.surface import PanelSurface, PutIn
from panelwear.simulation.camera.truth import cell_means, relative, true_field, zone_cells
from panelwear.simulation.panel import SimulatedPanel
from panelwear.simulation.usage import harbour_desk_zones
from patterns import build, raster
from patterns.frame import Rect
from tests.panelwear.simulation.camera.small import SIZE, camera, surface

GREY = Shot("grey-c128", "field", (128.0, 128.0, 128.0))
PICTURE = raster(build("field", *SIZE, codes=GREY.codes))


def test_cells_that_cut_pixels_take_their_share() -> None:
    values = np.random.default_rng(1).random((7, 10)).astype(np.float32)
    x, y = np.linspace(0, 10, 5), np.linspace(0, 7, 4)
    fine = np.repeat(np.repeat(values, 12, axis=0), 12, axis=1).reshape(3, 28, 4, 30).mean(axis=(1, 3))
    assert cell_means(values, x, y) == pytest.approx(fine, rel=1e-6)


def test_zones_are_cells_wholly_inside_and_under_no_other() -> None:
    zones = harbour_desk_zones(3840, 2160)
    chart, badge, line = (zone_cells(zones, name, (3840, 2160)) for name in ("chart", "clock-badge", "route-line"))
    assert chart.shape == badge.shape == (270, 480)
    assert not (chart & badge).any() and not (chart & line).any()
    # clock-badge: 0.86..0.98 of 3840, 0.03..0.12 of 2160; whole cells of 8 px inside.
    assert badge.sum() == (470 - 413) * (32 - 9)
    assert zone_cells(zones, "vessel-list", (3840, 2160))[:, :96].all()


def test_light_relative_to_the_reference_is_one_there() -> None:
    one = true_field(GREY, PICTURE, surface(4400.0), camera())
    reference = zone_cells(harbour_desk_zones(*SIZE), "chart", SIZE)
    shown = relative(one.luminance_cd_m2, reference)
    assert np.median(shown[reference]) == pytest.approx(1.0)
    worn = zone_cells(harbour_desk_zones(*SIZE), "vessel-list", SIZE)
    assert 0.93 < shown[worn].mean() < 0.98
    assert relative(one.filters, reference).shape == (3, *one.luminance_cd_m2.shape)


def test_what_was_put_in_stands_in_the_truth_and_nothing_else_changes() -> None:
    rect = Rect(480, 270, 96, 54)
    state = SimulatedPanel().at(0.0)
    plain = true_field(GREY, PICTURE, PanelSurface(state, SIZE), camera())
    worn = true_field(GREY, PICTURE, PanelSurface(state, SIZE, [PutIn(rect, -0.01)]), camera())
    x, y = cell_edges(SIZE)
    inside = ((y[:-1] >= 270) & (y[1:] <= 324))[:, None] & ((x[:-1] >= 480) & (x[1:] <= 576))
    ratio = worn.luminance_cd_m2 / plain.luminance_cd_m2
    assert ratio[inside] == pytest.approx(0.99, abs=2e-5)  # black is left
    assert np.array_equal(ratio[~inside], np.ones_like(ratio[~inside]))
    blue = true_field(GREY, PICTURE, PanelSurface(state, SIZE, [PutIn(rect, -0.02, (2,))]), camera())
    seen = (blue.filters / plain.filters)[:, inside].mean(axis=1)
    assert seen[2] == pytest.approx(1 - 0.02 * 0.9, abs=0.003) and seen[0] > 0.999


@pytest.mark.parametrize("pose", [Pose(), Pose(fill=0.75, shift=(0.05, 0.03), tilt_deg=5, turn_deg=-4, roll_deg=2)])
def test_the_noise_free_photograph_holds_the_true_light_of_each_cell(pose: Pose) -> None:
    one = camera(blur_px=1.0)
    panel = surface(4400.0)
    optics = Optics(one, pose, panel, room=Room(0.0, 0.0))
    frame = optics.electrons(PICTURE, 1.0) * one.lens.f_number**2 / frame_shading(one)
    truth = true_field(GREY, PICTURE, panel, one)
    x, y = cell_edges(SIZE)
    rows, columns = np.mgrid[:1000:2, 1:1500:2]  # the greens of even rows
    place = optics.view.to_panel(np.stack([columns + 0.5, rows + 0.5], axis=-1))
    # Over blocks of 20 x 20 cells: single cells hold two or three of these pixels, and the grain of the panel.
    edges_x, edges_y = x[::20], y[::20]
    counts, *_ = np.histogram2d(place[..., 1].ravel(), place[..., 0].ravel(), (edges_y, edges_x))
    sums, *_ = np.histogram2d(
        place[..., 1].ravel(), place[..., 0].ravel(), (edges_y, edges_x), weights=frame[::2, 1::2].ravel()
    )
    blocks = truth.filters[1][: 20 * (len(edges_y) - 1), : 20 * (len(edges_x) - 1)]
    wanted = blocks.reshape(len(edges_y) - 1, 20, len(edges_x) - 1, 20).mean(axis=(1, 3))
    ratio = (sums / counts / wanted)[1:-1, 1:-1]  # the panel's edge is blurred
    assert ratio.std() < 0.0015
    assert ratio.mean() == pytest.approx(1.0, abs=0.0005)


def test_a_lens_without_glare_is_the_default_and_glare_is_spread_evenly() -> None:
    panel = surface(0.0)
    clean = Optics(camera(), Pose(), panel).electrons(PICTURE, 0.1)
    veiled = Optics(camera(glare=0.01), Pose(), panel).electrons(PICTURE, 0.1)
    assert replace(camera(), lens=replace(camera().lens, glare=0.0)) == camera()
    assert np.abs((veiled - clean) / (0.01 * clean.mean()) - 1).max() < 0.01
