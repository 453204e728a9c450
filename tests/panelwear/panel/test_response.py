"""Curves, assumed and measured responses."""

from __future__ import annotations

import json

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelwear.errors import FileFault
from panelwear.panel.assumed import assumed_response
from panelwear.panel.curve import Curve, curve_of
from panelwear.panel.fit import interpolated, never_falling
from panelwear.panel.measured import additivity_of, fit_curve, fit_response
from panelwear.panel.response import Node, response_from_json
from tests.panelwear.panel.panels import GREY_CODES, Panel, measured, power_law, readings, s_shaped
from tests.references import value, values

rising = st.lists(st.floats(0.0005, 5.0), min_size=255, max_size=255).map(
    lambda steps: curve_of(0.01 + np.concatenate([[0.0], np.cumsum(steps)]))
)


@given(rising, st.floats(0, 255))
def test_code_for_is_the_exact_inverse_of_luminance(curve: Curve, code: float) -> None:
    assert curve.code_for(curve.luminance(code)) == pytest.approx(code, abs=1e-6)


@given(rising, st.floats(0, 1))
def test_luminance_is_the_exact_inverse_of_code_for(curve: Curve, share: float) -> None:
    wanted = curve.black_cd_m2 + share * (curve.peak_cd_m2 - curve.black_cd_m2)
    assert curve.luminance(curve.code_for(wanted)) == pytest.approx(wanted, rel=1e-12, abs=1e-12)


@given(rising, st.floats(0, 1))
def test_nearest_whole_code_is_within_half_a_step_and_the_mix_within_half_a_4096th(curve: Curve, share: float) -> None:
    wanted = curve.black_cd_m2 + share * (curve.peak_cd_m2 - curve.black_cd_m2)
    table = np.asarray(curve.cd_m2)
    whole = curve.nearest_code(wanted)
    assert whole == int(whole)
    assert abs(table[int(whole)] - wanted) == np.abs(table - wanted).min()
    mixed = curve.nearest_code(wanted, between_codes=True)
    assert mixed * 4096 == int(mixed * 4096)
    assert abs(curve.luminance(mixed) - wanted) <= np.diff(table).max() / 8192 * (1 + 1e-6)


def test_on_a_flat_stretch_the_lowest_code_is_taken() -> None:
    curve = curve_of(np.minimum(np.arange(256.0), 200.0))
    assert curve.code_for(200.0) == 200
    assert curve.code_for(500.0) == 200


def test_a_curve_that_falls_or_has_holes_is_refused() -> None:
    with pytest.raises(ValueError, match="falls from drive level 3"):
        Curve((0.0, 1.0, 2.0, 3.0, 2.5, *([300.0] * 251)))
    with pytest.raises(ValueError, match="256"):
        Curve((0.0, 1.0))
    with pytest.raises(ValueError, match="not a number"):
        Curve((float("nan"), *([300.0] * 255)))


@pytest.mark.parametrize("record", [r for r in values("SRGB-") if "V" in r["inputs"]], ids=lambda r: str(r["id"]))
def test_assumed_srgb_meets_iec_61966_2_1(record: dict) -> None:  # type: ignore[type-arg]
    V = record["inputs"]["V"]
    code = V * 255
    grey = assumed_response({"kind": "srgb", "peak_cd_m2": 100.0}).grey
    # Between codes the curve is a mix in light, so only whole codes can equal the formula; others lie between.
    if abs(code - round(code)) < 1e-9:
        assert grey.luminance(round(code)) == pytest.approx(100 * record["expected"], abs=100 * record["tolerance"])
    else:
        assert grey.luminance(int(code)) < 100 * record["expected"] < grey.luminance(int(code) + 1)


@pytest.mark.parametrize("record", [r for r in values("BT1886-") if "V" in r["inputs"]], ids=lambda r: str(r["id"]))
def test_assumed_bt1886_meets_the_recommendation(record: dict) -> None:  # type: ignore[type-arg]
    given_ = record["inputs"]
    grey = assumed_response({"kind": "bt1886", "peak_cd_m2": given_["Lw"], "black_cd_m2": given_["Lb"]}).grey
    code = given_["V"] * 255
    if abs(code - round(code)) < 1e-9:
        assert grey.luminance(round(code)) == pytest.approx(record["expected"], abs=record["tolerance"])
    else:
        assert grey.luminance(int(code)) < record["expected"] < grey.luminance(int(code) + 1)


def test_channels_of_an_assumed_response_add_up_to_white_with_black_counted_once() -> None:
    response = assumed_response({"kind": "bt1886", "peak_cd_m2": 200, "black_cd_m2": 0.1})
    total = sum(response.luminance(hue, 180) - 0.1 for hue in ("red", "green", "blue"))
    assert total + 0.1 == pytest.approx(response.luminance("grey", 180), rel=1e-9)
    yellow = response.luminance("yellow", 180)
    assert yellow == pytest.approx(response.luminance("red", 180) + response.luminance("green", 180) - 0.1)


def test_an_assumed_table_goes_through_its_points() -> None:
    response = assumed_response({"kind": "table", "codes": [0, 64, 128, 255], "cd_m2": [0.1, 12.0, 55.0, 240.0]})
    got = [response.luminance("grey", code) for code in (0, 64, 128, 255)]
    assert got == pytest.approx([0.1, 12.0, 55.0, 240.0], rel=1e-9)


@pytest.mark.parametrize(
    ("mapping", "says"),
    [
        ({"kind": "gama"}, "kind: 'gama' is not known; allowed: srgb, bt1886, power, table"),
        ({"peek_cd_m2": 3}, "peek_cd_m2: unknown key; did you mean 'peak_cd_m2'"),
        ({"peak_cd_m2": -3}, "peak_cd_m2: -3 is out of range"),
        ({"peak_cd_m2": float("nan")}, "peak_cd_m2: nan is no number"),
        ({"peak_cd_m2": 5, "black_cd_m2": 6}, "black_cd_m2: 6 is not below peak"),
        ({"shares": [0.1, 0.2, 0.3]}, "shares: have the sum 0.6; it must be 1"),
        ({"kind": "table", "codes": [0, 255]}, "two lists"),
        ({"kind": "table", "codes": [0, 100, 255], "cd_m2": [0, 50, 40]}, "does not rise from drive level 100 to 255"),
        ({"kind": "table", "codes": [5, 255], "cd_m2": [0, 50]}, "codes: must rise from 0 to 255"),
    ],
)
def test_a_bad_assumed_response_is_one_clear_fault(mapping: dict[str, object], says: str) -> None:
    with pytest.raises(FileFault, match=says):
        assumed_response(mapping)


def test_all_faults_of_an_assumed_response_are_told_at_once() -> None:
    with pytest.raises(FileFault) as caught:
        assumed_response({"kind": "none", "gamma": 9, "what": 1})
    assert len(caught.value.problems) == 3


@pytest.mark.parametrize("gamma", [1.8, 2.0, 2.2, 2.4, 2.6])
def test_a_power_law_is_drawn_exactly_through_few_points(gamma: float) -> None:
    true = 0.05 + 300 * (np.arange(256) / 255) ** gamma
    codes = [0, 32, 96, 160, 255]
    curve = interpolated(codes, true[codes].tolist())
    assert np.asarray(curve.cd_m2) == pytest.approx(true, rel=2e-3, abs=1e-3)


def test_pooling_violators_gives_the_weighted_isotonic_regression() -> None:
    # Worked by hand: 3 and 1 pool with weights 1 and 3 to 1.5; 2 stays above.
    got = never_falling(np.array([0.0, 3.0, 1.0, 2.0]), np.array([1.0, 1.0, 3.0, 1.0]))
    assert got == pytest.approx([0.0, 1.5, 1.5, 2.0])


@pytest.mark.parametrize("shape", [power_law(1.8), power_law(2.2), power_law(2.6), s_shaped])
def test_a_measured_response_follows_the_panel_within_a_code_step(shape: object) -> None:
    panel = Panel(shape)  # type: ignore[arg-type]
    response = measured(panel)
    true = np.array([panel.luminance(code) for code in range(256)])
    off = np.abs(np.asarray(response.grey.cd_m2) - true)[8:]
    assert np.all(off <= np.diff(true)[7:])
    assert response.basis == "measured-response"
    assert response.geometry.name == "w10"


def test_a_measured_response_survives_being_stored() -> None:
    response = measured(Panel(s_shaped), np.random.default_rng(2))
    assert response_from_json(json.loads(json.dumps(response.to_json()))) == response
    with pytest.raises(ValueError, match="not a stored response"):
        response_from_json({"basis": "measured-response"})


def test_black_is_kept_and_its_readings_pooled_over_hues() -> None:
    rows = [
        ("grey", 0.0, 0.30),
        ("red", 0.0, 0.32),
        ("grey", 128.0, 50.0),
        ("grey", 255.0, 200.0),
        ("red", 255.0, 40.0),
    ]
    response = fit_response(readings(rows), "w10")
    assert response.grey.black_cd_m2 == pytest.approx(0.31)
    assert response.red.black_cd_m2 == pytest.approx(0.31)


def test_channels_that_were_not_read_are_said_to_be_assumed() -> None:
    response = fit_response(readings([("grey", c, 0.01 + (c / 255) ** 2.2 * 100) for c in (0.0, 128.0, 255.0)]), "w10")
    assert any("red, green, blue: not measured" in note for note in response.notes)
    assert response.additivity is None


def test_a_response_that_falls_says_where_and_is_still_usable() -> None:
    curve, notes = fit_curve([0, 64, 128, 192, 255], [0.1, 10, 60, 50, 200], [0.001, 0.01, 0.06, 0.05, 0.2])
    assert notes == ("grey: not monotone, 60 cd/m² at drive level 128 falls to 50 at drive level 192.",)
    assert np.all(np.diff(curve.cd_m2) >= 0)


def test_scatter_alone_is_not_called_a_fall() -> None:
    rng = np.random.default_rng(5)
    for _ in range(50):
        near_black = np.array([0.0, 0.001, 0.002, 0.004]) + rng.normal(0, 0.002, 4)
        _, notes = fit_curve([0, 2, 4, 8, 255], [*near_black, 200.0], [0.002] * 4 + [0.1])
        assert not any("not monotone" in note for note in notes)


def test_a_panel_that_clips_says_from_where() -> None:
    panel = Panel(power_law(2.2), limiter=0.06)
    response = measured(panel)
    assert "grey: clips, drive levels 208 to 255 all give 150 cd/m²." in response.notes


@pytest.mark.parametrize("bad", [float("nan"), -5.0, float("inf")])
def test_absurd_readings_are_left_out_and_said(bad: float) -> None:
    codes = [0, 64, 128, 192, 255]
    _, notes = fit_curve(codes, [0.02, 10, bad, 110, 200], [0.01] * 5)
    assert any("drive level 128" in note and "left out" in note for note in notes)


def test_a_response_without_light_is_refused_in_a_sentence() -> None:
    with pytest.raises(ValueError, match="light at the brighter one"):
        fit_curve([0, 255], [0.0, 0.0], [0.01, 0.01])


def test_additivity_is_white_over_the_sum_of_primaries() -> None:
    def node(hue: str, Y: float, u: float = 0.0) -> Node:
        return Node(hue, 255, Y, u, 5)

    # IDMS colour-signal white, from memory.
    record = value("ADD-02")
    lit = record["inputs"]
    primaries = [node("red", lit["LR"]), node("green", lit["LG"]), node("blue", lit["LB"])]
    short = additivity_of(node("grey", lit["Lw"], 0.255), primaries, 0.0)
    assert 100 * short.ratio == pytest.approx(record["expected"], abs=record["tolerance"])
    assert short.u == pytest.approx(0.00098077, rel=1e-4)
    assert not short.additive
    assert "98.08 %" in short.sentence
    assert additivity_of(node("grey", 260.0, 0.26), primaries, 0.0).additive


def test_black_counts_once_in_additivity() -> None:
    panel = Panel(power_law(2.2), black_cd_m2=2.0)
    additivity = measured(panel).additivity
    assert additivity is not None
    assert additivity.ratio == pytest.approx(1.0, abs=1e-9)


def test_the_uncertainty_of_additivity_holds_over_repeated_measurements() -> None:
    panel = Panel(power_law(2.2))
    rng = np.random.default_rng(11)
    found = [measured(panel, rng).additivity for _ in range(60)]
    ratios = np.array([a.ratio for a in found if a])
    stated = np.mean([a.u for a in found if a])
    assert ratios.std(ddof=1) == pytest.approx(stated, rel=0.3)


def test_every_shipped_grey_code_is_met_by_its_own_curve() -> None:
    response = measured(Panel(power_law(2.2)))
    for code in GREY_CODES:
        assert response.luminance("grey", code) == pytest.approx(Panel(power_law(2.2)).luminance(code), rel=1e-9)
