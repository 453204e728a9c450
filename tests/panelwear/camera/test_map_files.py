"""Maps on disk come back as they were, and damaged ones are a sentence."""

from __future__ import annotations

import io
import json
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from panelwear.camera.field_map import FieldMap, cell_edges
from panelwear.camera.map_files import PICTURE_ONE, load_map, save_map
from panelwear.camera.photographs.view import PanelView
from panelwear.camera.shots import ShootLabel, Shot, label_of
from panelwear.errors import FileFault
from sequences.model import HUES


def made(panel_px: tuple[int, int] = (3840, 2160)) -> FieldMap:
    across, down = cell_edges(panel_px)
    shape = (down.size - 1, across.size - 1)
    rng = np.random.default_rng(4)
    light = rng.normal(1, 0.01, shape).astype(np.float32)
    usable = np.ones(shape, bool)
    usable[0, :3], light[0, :3] = False, np.nan
    shot = Shot("grey-20cd", "field", (96.5, 96.5, 96.5), 20.0)
    return FieldMap(
        shot, panel_px, light, np.full(shape, 0.002, np.float32), usable, 0.7, 0.001, "even-surface", "camera A, 50 mm",
        simulated=True, cautions=("two frames only",), sources=(("a.dng", "0" * 64),),
    )  # fmt: skip


def test_a_map_comes_back(tmp_path):
    one = made()
    _, picture, told = save_map(tmp_path, one)
    back = load_map(told)
    for name in ("light", "u_light", "usable"):
        np.testing.assert_array_equal(getattr(back, name), getattr(one, name))
    for name in ("shot", "panel_px", "correlation_cells", "u_slow", "shading", "set_up", "for_showing", "simulated"):
        assert getattr(back, name) == getattr(one, name)
    assert (back.cautions, back.sources) == (one.cautions, one.sources)
    pixels = np.asarray(Image.open(io.BytesIO(picture.read_bytes())))
    assert pixels.dtype == np.uint16 and pixels.shape == (270, 480)
    assert pixels[0, 0] == 0 and pixels[5, 5] == round(float(one.light[5, 5]) * PICTURE_ONE)


def test_where_the_panel_lay_and_what_the_pixels_do_come_back(tmp_path):
    view = PanelView((3840, 2160), (6000, 4000), np.array([[1.3, 0.01, 4], [0, 1.3, 5], [0, 1e-6, 1]]), (3000, 2000),
                     -0.03, 0.004)  # fmt: skip
    one = replace(made(), u_pixels=np.full((270, 480), 0.001, np.float32), view=view)
    told = save_map(tmp_path, one)[2]
    back = load_map(told)
    np.testing.assert_array_equal(back.u_pixels, one.u_pixels)
    places = np.array([(0.0, 0.0), (3840.0, 1000.0)])
    np.testing.assert_allclose(back.view.to_camera(places), view.to_camera(places))
    data = json.loads(told.read_text())
    del data["view"]
    told.write_text(json.dumps(data))
    assert load_map(told).view is None
    data["view"] = {"frame_px": [6000, 4000], "homography": [[0, 0, 0]] * 3, "centre_px": [1, 1], "k1": 0, "k2": 0}
    told.write_text(json.dumps(data))
    with pytest.raises(FileFault, match="not a map that can be read"):
        load_map(told)


@pytest.mark.parametrize("damage", ["cut", "other-cells", "no-json"])
def test_a_damaged_map_is_a_sentence(tmp_path, damage):
    numbers, _, told = save_map(tmp_path, made((1280, 720)))
    if damage == "cut":
        numbers.write_bytes(numbers.read_bytes()[:100])
    elif damage == "no-json":
        told.write_text("[]")
    else:
        told.write_text(json.dumps(json.loads(told.read_text()) | {"cells": [3, 4]}))
    with pytest.raises(FileFault, match="not a map that can be read"):
        load_map(told)


@pytest.mark.parametrize(
    ("panel_px", "cells"),
    [((3840, 2160), (480, 270)), ((2560, 1440), (480, 270)), ((3440, 1440), (645, 270)), ((400, 200), (400, 200))],
)
def test_cells_are_nearly_square_and_enough(panel_px, cells):
    across, down = cell_edges(panel_px)
    assert (across.size - 1, down.size - 1) == cells
    assert (across[-1], down[-1]) == panel_px


def test_a_label_comes_back_and_other_texts_are_none():
    label = ShootLabel("harbour-desk", "2026-02-03-h1460", "shoot-1", ("dots", "grey;20 cd", "Grün"))
    assert label_of(label.text()) == label
    assert label.text().isascii()
    assert label_of("") is label_of("a;b;c;d") is label_of("panelwear-shoot-1;a") is None


@pytest.mark.parametrize("hue", list(HUES))
def test_a_shot_is_called_by_the_hue_of_its_lit_sub_pixels_everywhere(hue):
    shot = Shot("x", "field", tuple(180.0 * lit for lit in HUES[hue]))
    assert shot.channel == hue
    assert Shot("x", "black").channel == "grey"


@pytest.mark.parametrize("focal", ["wide", -35, 0, 10**400, [50], 1e5])
def test_a_focal_length_that_is_none_is_a_sentence(tmp_path, focal):
    *_, told = save_map(tmp_path, made((1280, 720)))
    told.write_text(json.dumps(json.loads(told.read_text()) | {"focal_35_mm": focal}))
    with pytest.raises(FileFault, match="focal_35_mm is no focal length"):
        load_map(told)
