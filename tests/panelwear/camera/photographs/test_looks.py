"""What a photograph seems to be of, where that is easily mistaken."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from panelwear.camera.photographs.dots import Spots, found_spots
from panelwear.camera.photographs.kinds import photo_file
from panelwear.camera.photographs.lattice import assigned
from panelwear.camera.photographs.looks import look_at
from panelwear.camera.photographs.opening import opened_photograph
from panelwear.camera.photographs.photograph import Photograph, Plane
from panelwear.camera.qr_code import shoot_card
from panelwear.camera.shots import ShootLabel, Shot
from panelwear.simulation.camera.model import Pose
from panelwear.simulation.camera.poses import on_its_marks
from panelwear.simulation.camera.shoot_files import Kind, write_shoot
from panelwear.simulation.camera.shooting import Shoot
from panelwear.simulation.camera.shots import Wanted
from panelwear.simulation.rehearsal_camera import FILL, camera
from tests.panelwear.simulation.camera.small import TAKEN, surface

SIZE = (1280, 720)
DOTS = Wanted(Shot("dots", "dots", (128.0,) * 3), 1, 0.5)
POSE = on_its_marks(Pose(fill=FILL, tilt_deg=0.8, turn_deg=-1.2, roll_deg=0.3), 3000)
NAMES = ("dots", "stairs", "black", "grey-20cd", "grey-100cd", "red-c160", "green-c160", "blue-c160", "dots-end")


def looks(tmp_path: Path, kind: Kind, *wanted: Wanted) -> list[str | None]:
    label = ShootLabel("harbour-desk", "2026-01-05-h0", "shoot-1", (*NAMES, "even-surface"))
    card = shoot_card(SIZE, label, ["panel: harbour-desk", "hours: 0", "date:  2026-01-05", "shoot: shoot-1"])
    wish = Shoot(camera(), label, card, wanted, TAKEN, poses=(POSE,))
    written = write_shoot(tmp_path / "photos", tmp_path / "truth", wish, surface(0.0, SIZE), kind=kind)
    return [look_at(opened_photograph(photo_file(path))).kind for path in written.photographs]


@pytest.mark.parametrize("kind", ["dng", "png"])
def test_dots_are_told_from_an_even_surface_where_black_is_cut_off_too(kind: Kind, tmp_path: Path) -> None:
    even = replace(DOTS, shot=Shot("even-surface", "even-surface"))
    assert looks(tmp_path, kind, DOTS, even)[1:] == ["dots", "even-surface"]


def test_a_bright_title_card_is_no_field(tmp_path: Path) -> None:
    field = replace(DOTS, shot=Shot("grey-100cd", "field", (134.25,) * 3))
    assert looks(tmp_path, "dng", field) == ["title-card", "field"]


def test_stripes_hold_no_dots() -> None:
    picture = np.zeros((600, 900), dtype=np.float32)
    picture[:, ::45] = 1000.0
    assert found_spots(picture).middles.shape == (0, 2)


def test_burnt_out_dots_found_twice_at_one_place_are_no_grid() -> None:
    middles = np.repeat(np.array([[10.0, 10.0], [50.0, 10.0], [10.0, 50.0]]), 9, axis=0)
    assert (assigned(Spots(middles, np.ones(len(middles)))) == -1).all()


def waves(amplitude: float, steps: int = 1) -> Photograph:
    """A panel lit evenly, or in steps, with moire of a period of 50 camera pixels."""
    rows, columns = np.mgrid[:1200, :1800]
    light = 1 + np.floor((columns - 200) / 1400 * steps) * (8 / steps if steps > 1 else 0)
    light = light * (1 + amplitude * np.cos(2 * np.pi * (columns / 50 + rows / 170)))
    light *= (columns > 200) & (columns < 1600) & (rows > 200) & (rows < 1000)
    stored = (200 + 1000 * light).astype(np.uint16)
    plane = Plane("green", 0, 0, 1, stored, 200.0, 16000.0)
    return Photograph("a.tif", "", (1800, 1200), (plane,))


@pytest.mark.parametrize("amplitude", [0.0, 0.1, 0.5])
def test_a_field_with_strong_moire_is_still_a_field_and_a_staircase_is_none(amplitude: float) -> None:
    assert look_at(waves(amplitude)).kind == "field"
    assert look_at(waves(amplitude, steps=12)).kind != "field"


def test_a_staircase_whose_bright_half_a_tone_curve_made_alike_is_still_one() -> None:
    """Two dark rows and two bright ones, of which the brightest steps are burnt out, as in a JPEG."""
    dark, bright = np.geomspace(0.003, 0.32, 24), np.clip(np.linspace(0.43, 1.4, 24), 0, 1)
    light = np.zeros((1200, 1800))
    for row, steps in enumerate((dark, bright, bright[::-1], dark[::-1])):
        light[200 + 200 * row : 400 + 200 * row, 156:1644] = np.repeat(steps, 62)
    plane = Plane("green", 0, 0, 1, (200 + 15_000 * light).astype(np.uint16), 200.0, 16_000.0)
    assert look_at(Photograph("a.jpg", "", (1800, 1200), (plane,))).kind == "stairs"
