"""What one sensor's pixels put into two maps, against pixels that are really drawn and averaged over cells."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from panelwear.camera.field_map import FieldMap, cell_edges
from panelwear.camera.photographs.view import PanelView
from panelwear.camera.shots import Shot
from panelwear.camera.wear.background import flattened
from panelwear.camera.wear.cells import mask_of, owners
from panelwear.camera.wear.contrast import contrast
from panelwear.camera.wear.pairing import ChangeMap, pair_maps
from panelwear.camera.wear.same_pixels import away_of

PANEL, FRAME = (960, 540), (2700, 1600)
SHAPE = (270, 480)
PER_CELL = 5.0
"""Camera pixels across a cell, in every one of these views."""
PRNU, SHOT = 0.01, 0.002
"""Of a pixel; of a cell's mean: 5 x 5 pixels leave 0.2 % of the former."""
INSIDE = mask_of(SHAPE, slice(100, 120), slice(200, 225))
AROUND = mask_of(SHAPE, slice(94, 126), slice(190, 235)) & ~mask_of(SHAPE, slice(98, 122), slice(198, 227))
FAR = (190.0, 140.0)
GREY = Shot("grey-120cd", "field", (180.0, 180.0, 180.0), 120.0)


def view(shift_px: tuple[float, float] = (0.0, 0.0)) -> PanelView:
    """Camera pixels lie square to the panel; the panel's corner lies at 100, 100 and the shift, in camera pixels."""
    scale = PER_CELL * SHAPE[1] / PANEL[0]
    homography = np.array([[scale, 0, 100 + shift_px[0]], [0, scale, 100 + shift_px[1]], [0, 0, 1]])
    return PanelView(PANEL, FRAME, homography, (FRAME[0] / 2, FRAME[1] / 2), 0.0, 0.0)


def seen(where: PanelView, sensor: np.ndarray, rng: np.random.Generator) -> FieldMap:
    """An even panel, photographed: every pixel counts whole for the cell its middle looks at."""
    across, down = cell_edges(PANEL)
    y, x = (np.arange(side) + 0.5 for side in sensor.shape)
    column = np.floor(where.to_panel(np.stack([x, np.full_like(x, 400)], axis=1))[:, 0] / (across[1] - across[0]))
    row = np.floor(where.to_panel(np.stack([np.full_like(y, 400), y], axis=1))[:, 1] / (down[1] - down[0]))
    ok_x, ok_y = (column >= 0) & (column < SHAPE[1]), (row >= 0) & (row < SHAPE[0])
    index = (row[ok_y][:, None] * SHAPE[1] + column[ok_x]).astype(int).ravel()
    counts = np.bincount(index, minlength=SHAPE[0] * SHAPE[1])
    light = np.bincount(index, sensor[np.ix_(ok_y, ok_x)].ravel(), SHAPE[0] * SHAPE[1]) / counts
    light = light.reshape(SHAPE) + rng.normal(0, SHOT, SHAPE)
    pixels = (PRNU / np.sqrt(counts)).reshape(SHAPE).astype(np.float32)
    return FieldMap(
        GREY, PANEL, light.astype(np.float32), np.hypot(pixels, SHOT).astype(np.float32), np.ones(SHAPE, bool), 0.0,
        1e-6, "same-set-up", "camera A, 50 mm, f/8", u_pixels=pixels, view=where,
    )  # fmt: skip


def drawn(shift_px: tuple[float, float], seed: int, *, other_sensor: bool = False) -> ChangeMap:
    rng = np.random.default_rng(seed)
    first = 1 + PRNU * rng.standard_normal(FRAME[::-1])
    second = 1 + PRNU * rng.standard_normal(FRAME[::-1]) if other_sensor else first
    then, now = seen(view(), first, rng), seen(view(shift_px), second, rng)
    return pair_maps([then], [now]).changes[0]


def found(one: ChangeMap) -> tuple[float, float]:
    flat = flattened(one, owners(PANEL, ()), ())
    told = contrast(flat.map, INSIDE, AROUND, ("x", "x"), flat.noise)
    return told.value, told.components[0].u


@pytest.mark.parametrize("shift_px", [(0.0, 0.0), (0.4, 0.3), (7.0, 4.0), FAR])
def test_contrasts_scatter_as_the_two_registrations_say(shift_px):
    """The pixels' part is nothing where the camera stands as it stood, and the whole of it where it is far off."""
    off = [found(drawn(shift_px, seed)) for seed in range(16)]
    z = [value / u for value, u in off]
    # 16 draws of a standard normal: their root mean square lies within 0.57 and 1.46 in 99 % (chi square).
    assert 0.57 < np.sqrt(np.mean(np.square(z))) < 1.46
    least = 100 * SHOT * np.sqrt(2) * np.sqrt(1 / INSIDE.sum() + 1 / AROUND.sum())
    most = 100 * np.hypot(SHOT, PRNU / PER_CELL) * np.sqrt(2) * np.sqrt(1 / INSIDE.sum() + 1 / AROUND.sum())
    us = np.mean([u for _, u in off])
    if shift_px == (0.0, 0.0):
        assert us == pytest.approx(least, rel=0.06)
    elif shift_px == FAR:
        assert us == pytest.approx(most, rel=0.06)
    else:
        assert 0.97 * least < us < 0.9 * most


@pytest.mark.parametrize("shift_px", [(2.3, -1.6)])
def test_another_sensor_is_noticed_in_the_maps_themselves(shift_px):
    """Its make and model are the same, and its pixels are not: what does not cancel must not be taken off."""
    same, other = (drawn(shift_px, 3, other_sensor=is_other) for is_other in (False, True))
    assert same.pixels is not None and other.pixels is not None
    kept, left = (flattened(one, owners(PANEL, ()), ()).map for one in (same, other))
    assert kept.pixels is not None and left.pixels is None
    off = [found(drawn(shift_px, seed, other_sensor=True)) for seed in range(16)]
    assert 0.6 < np.sqrt(np.mean([(value / u) ** 2 for value, u in off])) < 1.5


def test_single_cells_scatter_as_told():
    for shift_px in ((0.0, 0.0), (1.5, 0.0), (2.5, 2.5), (12.0, 0.0)):
        one = drawn(shift_px, 5)
        assert np.std(one.change) == pytest.approx(np.sqrt(np.mean(one.u.astype(float) ** 2)), rel=0.05)


def test_where_pixels_looked_before_is_told_in_cells():
    away = away_of(view(), view((10.0, -5.0)))
    # A panel that lies 10 pixels farther right is seen by pixels that looked 2 cells farther right before.
    assert away[1].mean() == pytest.approx(2.0) and away[0].mean() == pytest.approx(-1.0)


def test_other_cameras_frames_and_even_surfaces_share_no_pixels():
    rng = np.random.default_rng(1)
    sensor = 1 + PRNU * rng.standard_normal(FRAME[::-1])
    one = seen(view(), sensor, rng)
    other = replace(view(), frame_px=(2800, 1600))
    for now in (replace(one, view=other), replace(one, u_pixels=None), replace(one, view=None)):
        assert pair_maps([one], [now]).changes[0].pixels is None
    body = replace(one, shading="poses", set_up="camera B, 50 mm, f/8")
    assert pair_maps([replace(one, shading="poses")], [body]).changes[0].pixels is None
