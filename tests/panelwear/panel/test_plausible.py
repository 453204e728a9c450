"""Which readings cannot be the light that is due."""

import pytest

from panelwear.panel.plausible import Verdict, from_readings, from_response, from_stated, judge, stops

RESPONSE = from_response(200.0, same_geometry=True, told="measured")


@pytest.mark.parametrize(
    ("measured", "verdict"),
    [(200, "plausible"), (170, "plausible"), (139, "too dark"), (141, "plausible"), (3, "black"), (0.0003, "black"),
     (279, "plausible"), (282, "too bright")],
)  # fmt: skip
def test_a_known_response_leaves_seven_tenths_to_fourteen_tenths(measured: float, verdict: str) -> None:
    assert judge(RESPONSE, measured) == verdict


def test_light_where_black_is_due_is_told_and_a_dim_room_is_not() -> None:
    black = from_response(0.0005, same_geometry=True, told="measured")
    assert judge(black, 0.5) == "plausible"
    assert judge(black, 5.0) == "too bright"
    assert judge(from_readings([0.0005], same_place=True), 0.5) == "too bright"


def test_near_black_the_probes_own_noise_widens_the_gate() -> None:
    dim = from_readings([0.1], same_place=True)
    assert judge(dim, 0.04) == "too dark"
    assert judge(dim, 0.04, noise_cd_m2=0.02) == "plausible"


def test_a_stated_peak_gives_a_wide_gate_and_an_assumed_one_tells_only_black() -> None:
    stated = from_stated(250.0, 250.0, stated=True)
    assert [judge(stated, Y) for Y in (0.0003, 24, 26, 1240, 1260)] == [
        "black", "too dark", "plausible", "plausible", "too bright"
    ]  # fmt: skip
    unstated = from_stated(80.0, 80.0, stated=False)
    assert [judge(unstated, Y) for Y in (0.0003, 5, 1500)] == ["black", "plausible", "plausible"]


@pytest.mark.parametrize("gamma", [1.8, 2.2, 2.6])
@pytest.mark.parametrize("code", [16, 64, 128, 255])
def test_another_gamma_than_the_assumed_one_stops_no_run(gamma: float, code: float) -> None:
    due = 250 * (code / 255) ** 2.2
    assert judge(from_stated(due, 250.0, stated=True), 400 * (code / 255) ** gamma) == "plausible"


def test_the_middle_one_of_earlier_readings_counts() -> None:
    assert from_readings([100.0, 101.0, 3.0], same_place=True).cd_m2 == 100.0


@pytest.mark.parametrize(
    ("odd", "stop"),
    [
        (["too dark"], False),
        (["too dark", "black"], True),
        (["too bright", "too bright"], True),
        (["too dark", "too bright"], False),
        (["too dark", "too bright", "too dark"], True),
    ],
)
def test_two_on_one_side_stop_a_run_or_three_on_either(odd: list[Verdict], stop: bool) -> None:
    assert stops(odd) is stop
