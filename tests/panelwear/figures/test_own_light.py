"""Black without what the room and the probe add (IEC 62977-2-1: under a twentieth, subtracted, or a bound)."""

import numpy as np
import pytest

from panelwear.figures import of_checkpoint
from panelwear.uncertainty.meter import MeterTerms
from tests.panelwear.figures.handmade import Bench

METER = MeterTerms(session_scale=0, session_xy=0, session_filters=0, placement=0, dark_noise_cd_m2=0.003)
PANEL, ROOM = 0.08, 0.05


def dark_room(off: float | None, floor: float | None = None, black: float = PANEL, **noise) -> Bench:
    bench = Bench(**{"seed": 3, "noise": 1e-4, **noise})
    bench.put()
    bench.read("white/centre/grey/c255/w10", "white", 300.0 + (off or 0.0))
    bench.read("field/centre/grey/c0/full", "room", black, n=10)
    if floor is not None:
        bench.read("field/centre/grey/c0/full", "probe-floor", floor, n=10)
    if off is not None:
        bench.read("field/centre/grey/c0/full", "screen-off", off, n=10)
    bench.read("field/centre/grey/c0/full", "black", black, n=10)
    return bench


def figures(bench: Bench, **more):
    return of_checkpoint(bench.table(), METER, **more)


def test_a_room_under_a_twentieth_that_the_probe_cannot_tell_leaves_black_as_read():
    found = figures(dark_room(0.001))
    assert found["black"].limit == ""
    assert found["black"].value == pytest.approx(PANEL, rel=1e-3)
    assert found["black"].note == "the switched-off screen reads 0.0010 cd/m², under a twentieth of black"


def test_room_light_beyond_the_floor_is_taken_off_black_and_contrast():
    found = figures(dark_room(ROOM, black=PANEL + ROOM))
    assert found["black"].value == pytest.approx(PANEL, rel=1e-3)
    assert "more than a twentieth of black; taken off" in found["black"].note
    assert found["contrast/sequential"].value == pytest.approx(300 / PANEL, rel=2e-3)


def test_both_readings_stand_in_the_uncertainty_of_what_is_left():
    bench = dark_room(ROOM, black=PANEL + ROOM, dark_noise=0.003)
    with_room = figures(bench)["black"]
    bench.rows = [r for r in bench.rows if r.purpose != "screen-off"]
    assert with_room.u > 1.1 * figures(bench)["black"].u


def test_a_black_that_is_all_room_is_a_bound():
    found = figures(dark_room(ROOM, black=ROOM + 0.001))
    assert found["black"].limit == "<"
    assert 0.001 < found["black"].value < 2 * 3.3 * 0.003 / np.sqrt(10)
    assert "what is left of 0.0510 cd/m²" in found["black"].note
    assert found["contrast/sequential"].limit == ">"


def test_room_light_the_probe_cannot_be_sure_of_makes_a_small_black_a_bound():
    found = figures(dark_room(0.002, black=0.012))
    assert found["black"].limit == "<"
    assert found["black"].value >= 0.012
    assert "at or below what was read" in found["black"].note


def test_without_switching_off_the_covered_probe_tells_its_own_floor():
    found = figures(dark_room(None, floor=0.02, black=PANEL + 0.02))
    assert found["black"].value == pytest.approx(PANEL, rel=1e-3)
    assert found["black"].note.startswith("the covered probe reads 0.0200 cd/m²")
    # Switched off, the screen shows room and floor together: that alone is taken off.
    both = figures(dark_room(ROOM, floor=0.02, black=PANEL + ROOM))
    assert both["black"].value == pytest.approx(PANEL, rel=1e-3)


def test_room_light_is_taken_off_dark_cells_too():
    bench = dark_room(ROOM, black=PANEL + ROOM)
    bench.read("checkerboard/centre/grey/c255/check5x5a", "checkerboard", 240.0 + ROOM)
    bench.read("checkerboard/centre/grey/c255/check5x5b", "checkerboard", 0.6 + ROOM)
    assert figures(bench)["contrast/checkerboard"].value == pytest.approx(400, rel=1e-2)


def test_readings_of_no_light_are_counted_nowhere_else():
    found = figures(dark_room(ROOM, floor=0.02, black=PANEL + ROOM))
    assert found.evidence.left_out == 0
    assert {m.purpose for m in found.evidence.means} == {"white", "black"}


@pytest.mark.slow
@pytest.mark.parametrize("true", [0.001, 0.003, 0.0045, 0.006, 0.012, 0.03])
def test_intervals_and_bounds_of_black_hold_the_truth_also_where_it_is_just_detected(true):
    """95 % of them hold; three standard errors of 400 tries are allowed for."""
    from panelwear.uncertainty.coverage import interval

    held, told = 0, 0
    for seed in range(400):
        bench = Bench(seed, dark_noise=0.003)
        bench.put()
        bench.read("field/centre/grey/c0/full", "black", true, n=8)
        found = figures(bench)["black"]
        low, high = interval(found)
        held += low <= true <= high
        told += not found.limit
    assert held / 400 > 0.95 - 3 * np.sqrt(0.95 * 0.05 / 400)
    # A black that is hardly there is not taken for one by luck.
    assert told <= 4 or true > 0.002
    assert told == 400 or true < 0.02


def test_a_black_below_zero_says_that_the_zero_is_off_and_what_to_do():
    note = figures(dark_room(None, black=-0.02))["black"].note
    assert "the probe's zero is off. Cover it, let it find its zero, read again" in note
    assert "zero is off" not in figures(dark_room(None, black=-0.0005))["black"].note
