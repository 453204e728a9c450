"""Finding the probe with the screen, on a simulated aperture that looks at real pixels."""

from __future__ import annotations

import json
import math
from itertools import pairwise

import numpy as np
import pytest

from panelwear.panel.assumed import assumed_response
from panelwear.panel.edges import edge_codes, edge_look
from panelwear.panel.locate import Seat, locate
from panelwear.panel.placement import NotFound, PlacementFound, offset, placement_from_json
from patterns.raster import raster
from tests.panelwear.panel.aperture_simulator import SimulatedProbe, find

SIZE = (1920, 1080)
PITCH = (0.3114, 0.3114)
SCREEN_MM = (SIZE[0] * PITCH[0], SIZE[1] * PITCH[1])


def places(aperture_mm: float) -> list[tuple[float, float]]:
    """The middle, just inside a corner, on the first edges of the search, and somewhere."""
    w, h = SCREEN_MM
    return [(w / 2, h / 2), (aperture_mm, h - aperture_mm), (w * 0.75 + 0.1, h * 0.31), (w / 4, h / 2 - 1)]


def found_at(probe: SimulatedProbe, size: tuple[int, int] = SIZE, **kinds: tuple[float, float]) -> PlacementFound:
    found, _ = find(probe, size, **kinds)
    assert isinstance(found, PlacementFound), found
    return found


@pytest.mark.parametrize("aperture_mm", [5.0, 10.0, 27.0])
@pytest.mark.parametrize("place", range(4))
def test_centre_and_aperture_are_found_with_half_a_per_cent_of_scatter_and_a_limiter(
    aperture_mm: float, place: int
) -> None:
    rng = np.random.default_rng([int(aperture_mm), place])
    centre = places(aperture_mm)[place]
    probe = SimulatedProbe(centre, aperture_mm, PITCH, rng)
    found = found_at(probe)
    assert math.dist(found.centre_mm, centre) <= max(0.1, 0.01 * aperture_mm)
    assert found.diameter_mm == pytest.approx(aperture_mm, rel=0.02)
    assert found.readings == probe.readings <= 40
    assert found.centre_px[0] == pytest.approx(found.centre_mm[0] / PITCH[0])


@pytest.mark.slow
def test_stated_uncertainties_hold_over_many_searches() -> None:
    rng = np.random.default_rng(8)
    pulls = []
    for _ in range(30):
        centre = (rng.uniform(60, 500), rng.uniform(60, 270))
        found = found_at(SimulatedProbe(centre, 10.0, (0.6228, 0.6228), rng), (960, 540))
        pulls.append((found.centre_mm[0] - centre[0]) / found.u_centre_mm[0])
        pulls.append((found.centre_mm[1] - centre[1]) / found.u_centre_mm[1])
        pulls.append((found.diameter_mm - 10.0) / found.u_diameter_mm)
    # 90 pulls: their scatter is known to 7.5 %, and the model's fit of a sub-sampled disc is not perfect.
    assert 0.75 < np.std(pulls) < 1.3


def test_lit_area_never_changes_so_that_a_working_limiter_does_no_harm() -> None:
    rng = np.random.default_rng(5)
    probe = SimulatedProbe((200.0, 150.0), 10.0, PITCH, rng, limiter=0.3)
    found, frames = find(probe, SIZE, codes=(255.0, 100.0))
    assert isinstance(found, PlacementFound)
    assert len(set(probe.loads)) == 1
    assert probe.loads[0] > 0.3
    assert {frame.lit_share for frame in frames} == {0.5}
    assert math.dist(found.centre_mm, (200.0, 150.0)) <= 0.1


def test_no_step_changes_more_than_half_the_screen_nor_by_a_flash() -> None:
    response = assumed_response({"kind": "bt1886", "peak_cd_m2": 250.0, "black_cd_m2": 0.02})
    codes = edge_codes(response)
    assert response.luminance("grey", codes[0]) - response.luminance("grey", codes[1]) < 20
    assert response.luminance("grey", codes[0]) == pytest.approx(25, rel=0.03)
    _, frames = find(SimulatedProbe((433.0, 77.0), 10.0, PITCH, np.random.default_rng(6)), SIZE, codes=codes)
    pictures = [raster(frame)[:, :, 0] for frame in frames]
    changed = [np.mean(a != b) for a, b in pairwise(pictures)]
    assert max(changed) <= 0.5 + 2 / SIZE[1]


@pytest.mark.parametrize(
    ("bright", "dark"), [({"peak_cd_m2": 40.0}, 8.0), ({"peak_cd_m2": 600.0}, 25.0), ({"peak_cd_m2": 5.0}, 1.0)]
)
def test_edges_stay_dim_on_dark_and_bright_panels(bright: dict[str, float], dark: float) -> None:
    response = assumed_response({"kind": "srgb", **bright})
    high, low = edge_codes(response)
    assert response.luminance("grey", high) <= dark * 1.1
    assert response.luminance("grey", low) < response.luminance("grey", high) / 2


def test_a_steady_drift_does_not_move_the_place() -> None:
    probe = SimulatedProbe((300.0, 150.0), 10.0, PITCH, np.random.default_rng(7), drift_per_reading=0.0003)
    found = found_at(probe)
    assert math.dist(found.centre_mm, (300.0, 150.0)) <= 0.1
    assert found.diameter_mm == pytest.approx(10.0, rel=0.02)


def test_pixels_that_are_not_square_are_taken_in_millimetres() -> None:
    probe = SimulatedProbe((150.0, 100.0), 10.0, (0.31, 0.25), np.random.default_rng(9))
    found = found_at(probe, (1367, 769))
    assert math.dist(found.centre_mm, (150.0, 100.0)) <= 0.1
    assert found.centre_px[1] == pytest.approx(400, abs=0.4)


def test_a_soft_rim_leaves_the_centre_right() -> None:
    probe = SimulatedProbe((150.0, 100.0), 10.0, PITCH, np.random.default_rng(10), softness_mm=2.0)
    assert math.dist(found_at(probe).centre_mm, (150.0, 100.0)) <= 0.1


def test_a_probe_that_is_not_on_the_screen_is_a_clear_sentence_after_few_readings() -> None:
    probe = SimulatedProbe((-80.0, 100.0), 10.0, PITCH, np.random.default_rng(11), stray_cd_m2=0.4)
    found, _ = find(probe, SIZE)
    assert isinstance(found, NotFound)
    assert "not on this screen" in found.sentence
    assert found.readings == 4


def test_a_probe_over_the_edge_of_the_screen_is_said_to_overhang() -> None:
    probe = SimulatedProbe((3.0, 150.0), 10.0, PITCH, np.random.default_rng(12))
    found, _ = find(probe, SIZE)
    assert isinstance(found, PlacementFound)
    assert any("overhangs" in note for note in found.notes)


@pytest.mark.parametrize("bad", [float("nan"), -1.0, float("inf")])
def test_a_probe_that_fails_twice_ends_the_search_in_a_sentence(bad: float) -> None:
    search = locate(Seat("chart", SIZE, PITCH, ((89.0,) * 3, (46.0,) * 3)))  # type: ignore[arg-type]
    next(search)
    search.send(bad)
    with pytest.raises(StopIteration) as end:
        search.send(bad)
    assert "'chart': the probe gave no usable reading twice in a row" in end.value.value.sentence


def test_one_failed_reading_is_simply_taken_again() -> None:
    probe = SimulatedProbe((300.0, 150.0), 10.0, PITCH, np.random.default_rng(13))
    search = locate(Seat("centre", SIZE, PITCH, ((89.0,) * 3, (46.0,) * 3)))  # type: ignore[arg-type]
    look = next(search)
    again = search.send(float("nan"))
    assert (again.edge_px, again.swapped) == (look.edge_px, look.swapped)
    with pytest.raises(StopIteration) as end:
        while True:
            again = search.send(probe.look(again.frame) if again.read else 0.0)
    assert isinstance(end.value.value, PlacementFound)


def test_readings_that_are_nothing_but_scatter_never_take_more_than_forty() -> None:
    rng = np.random.default_rng(14)
    search = locate(Seat("centre", SIZE, PITCH, ((89.0,) * 3, (46.0,) * 3)))  # type: ignore[arg-type]
    taken = 0
    look = next(search)
    with pytest.raises(StopIteration) as end:
        for _ in range(200):
            taken += look.read
            look = search.send(float(rng.uniform(0.1, 30)))
    assert taken <= 40
    assert isinstance(end.value.value, NotFound | PlacementFound)


@pytest.mark.parametrize(("axis", "length"), [("x", 7), ("y", 5)])
def test_an_edge_frame_is_exact_to_the_pixel(axis: str, length: int) -> None:
    for edge in range(length):
        shown = {}
        for swapped in (False, True):
            look = edge_look((7, 5), axis, edge, ((200.0,) * 3, (50.0,) * 3), swapped=swapped)  # type: ignore[arg-type]
            picture = raster(look.frame)[:, :, 0]
            line = picture[0] if axis == "x" else picture[:, 0]
            assert (picture == (line[None, :] if axis == "x" else line[:, None])).all()
            assert (line == 200).sum() == length // 2
            shown[swapped] = line
            lit = [(edge + i) % length if swapped else (edge - 1 - i) % length for i in range(length // 2)]
            assert sorted(np.flatnonzero(line == 200)) == sorted(lit)
        assert not ((shown[False] == 200) & (shown[True] == 200)).any()


def test_different_edges_have_different_geometry_digests() -> None:
    sides = ((89.0,) * 3, (46.0,) * 3)
    digests = {
        edge_look(SIZE, axis, edge, sides, swapped=swapped).frame.geometry_sha256()  # type: ignore[arg-type]
        for axis in ("x", "y")
        for edge in (100, 101)
        for swapped in (False, True)
    }
    assert len(digests) == 8


def placed(x: float, y: float, u: float = 0.05) -> PlacementFound:
    return PlacementFound("centre", (x, y), (x, y), 10.0, 10.0, (u, u), 0.1, 30, 0.005)


def test_a_placement_survives_being_stored() -> None:
    found = placed(100.0, 50.0)
    assert placement_from_json(json.loads(json.dumps(found.to_json()))) == found
    with pytest.raises(ValueError, match="not a stored placement"):
        placement_from_json({"place": "centre"})


def test_an_offset_says_how_far_and_which_way_to_move() -> None:
    off = offset(placed(104.2, 48.9), placed(100.0, 50.0))
    assert off.distance_mm == pytest.approx(4.3417, abs=1e-4)
    assert "4.3 mm from where it sat" in off.sentence
    assert "4.2 mm to the left and 1.1 mm down" in off.sentence
    assert "where it sat last time" in offset(placed(100.05, 50.0), placed(100.0, 50.0)).sentence


def test_an_offset_enters_the_uncertainty() -> None:
    component = offset(placed(103.0, 54.0, 0.0), placed(100.0, 50.0, 0.0)).component(200.0)
    # 200 cd/m² x 0.02 %/mm x 5 mm / √2, by hand.
    assert component.u == pytest.approx(0.141421, abs=1e-6)
    assert "assumed" in component.note
