"""How far off its target a probe sits, which way to move it, and where nothing is read."""

import pytest

from panelwear.panel.off_target import off_target
from panelwear.panel.placement import PlacementFound
from patterns.arrows import arrow_rects
from patterns.frame import Rect

PITCH = (0.5, 0.5)
SCREEN = (1000, 600)
WINDOW = Rect(400, 250, 200, 100)


def found(x_mm: float, y_mm: float, diameter_mm: float = 10.0) -> PlacementFound:
    return PlacementFound(
        "centre", (2 * x_mm, 2 * y_mm), (x_mm, y_mm), 2 * diameter_mm, diameter_mm, (0.02, 0.02), 0.05, 30, 0.001
    )


def test_the_move_is_said_as_the_person_sees_it() -> None:
    off = off_target(found(262.0, 154.0), (500, 300), PITCH, SCREEN, [WINDOW])
    assert (off.right_mm, off.down_mm) == pytest.approx((-12.0, -4.0))
    assert off.move == "12 mm left, 4 mm up"
    assert not off.refused
    assert off_target(found(247.5, 150.2), (500, 300), PITCH, SCREEN, [WINDOW]).move == "2.5 mm right"


def test_an_aperture_beside_its_patch_or_the_screen_is_not_read() -> None:
    assert "leaves the patch" in off_target(found(296.0, 150.0), (500, 300), PITCH, SCREEN, [WINDOW]).refused
    assert not off_target(found(294.0, 150.0), (500, 300), PITCH, SCREEN, [WINDOW]).refused
    assert "leaves the screen" in off_target(found(3.0, 150.0), (500, 300), PITCH, SCREEN, []).refused


def test_a_patch_narrower_than_the_aperture_asks_for_half_an_aperture() -> None:
    strip = Rect(495, 0, 10, 600)
    assert not off_target(found(254.0, 150.0), (500, 300), PITCH, SCREEN, [strip]).refused
    assert off_target(found(256.0, 150.0), (500, 300), PITCH, SCREEN, [strip]).refused


def test_on_the_target_nothing_is_to_be_moved() -> None:
    off = off_target(found(250.2, 149.9), (500, 300), PITCH, SCREEN, [WINDOW])
    assert off.is_on
    assert off.sentence == "The probe sits on the target, within 0.5 mm."


@pytest.mark.parametrize(("axis", "way"), [("x", 1), ("x", -1), ("y", 1), ("y", -1)])
def test_an_arrow_points_its_way_clear_of_the_housing_and_on_the_screen(axis: str, way: int) -> None:
    rects = arrow_rects(SCREEN, (500.0, 300.0), axis, way, per_mm=(2.0, 2.0), clear_mm=30.0)
    shaft, head = rects[0], rects[1:]
    along = (lambda r: r.x + r.w / 2) if axis == "x" else (lambda r: r.y + r.h / 2)
    thick = (lambda r: r.h) if axis == "x" else (lambda r: r.w)
    tip = min(head, key=thick)
    assert (along(tip) - along(shaft)) * way > 20
    for rect in rects:
        x_off = max(rect.x - 500, 500 - rect.x - rect.w, rect.y - 300, 300 - rect.y - rect.h)
        assert x_off >= 2 * 20
        assert rect.x >= 0
        assert rect.y >= 0
        assert rect.x + rect.w <= 1000
        assert rect.y + rect.h <= 600
