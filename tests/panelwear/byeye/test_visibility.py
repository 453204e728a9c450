"""SEMI D31, GSDF and Barten values from the references.

The worked values of the extension were computed by hand from
its formula, before the program was written.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from panelwear.byeye import barten, visibility
from panelwear.byeye.visibility import ViewedZone
from panelwear.colorimetry.gsdf import jnd_weber
from tests.references import value, values

PITCH_MM = 0.2335


def size_mm(angle_deg: float, distance_mm: float) -> float:
    """Return the size of a visual angle seen face on."""
    return 2 * distance_mm * math.tan(math.radians(angle_deg) / 2)


def test_semi_d31_just_noticeable_contrast_and_semu() -> None:
    jnd, semu = value("SEMU-01"), value("SEMU-02")
    assert visibility.semi_threshold_percent(jnd["inputs"]["S_mm2"]) == pytest.approx(jnd["expected"], abs=1e-8)
    # The index is Semu itself where that was made: 500 mm away, at the GSDF step of a 48 cd/m² grey.
    given = ViewedZone(semu["inputs"]["S_mm2"] / 5, 5, 48, distance_mm=500)
    index = visibility.visibility(semu["inputs"]["C_pct"] / 100, given).index
    assert index == pytest.approx(semu["expected"], abs=1e-8)
    # The standard's own index knows no distance and no luminance: it stays where the other follows them.
    far = visibility.visibility(semu["inputs"]["C_pct"] / 100, replace(given, distance_mm=900, luminance_cd_m2=5))
    assert far.semu == pytest.approx(semu["expected"], abs=1e-8) and far.index < 0.9 * far.semu


@pytest.mark.parametrize(("area", "expected"), [(1, 2.69), (10, 1.64), (100, 1.15), (1000, 0.92), (1e4, 0.81)])
def test_semi_d31_over_four_decades_of_area(area: float, expected: float) -> None:
    # Plain evaluation of the published formula, two decimals.
    assert visibility.semi_threshold_percent(area) == pytest.approx(expected, abs=0.005)


def test_one_gsdf_step_as_used_by_the_index() -> None:
    # The references' index comes from PS3.14's inverse polynomial, ours from a root finder: at 0.1 cd/m² the polynomial
    # is up to 0.05 JND off, which is 0.1 % of the step.
    for record in values("GSDF-W"):
        assert float(jnd_weber(record["inputs"]["L"])) == pytest.approx(record["expected"], rel=1e-3)


def test_a_visual_angle_has_its_size() -> None:
    record = value("ANGLE-01")
    size = size_mm(record["inputs"]["deg"], record["inputs"]["dist_mm"])
    assert size == pytest.approx(record["expected"], abs=record["tolerance"])
    assert visibility.degrees(size, record["inputs"]["dist_mm"]) == pytest.approx(record["inputs"]["deg"], rel=1e-12)


@pytest.mark.parametrize("record", values("BARTEN-S4"), ids=lambda r: r["id"])
def test_barten_sensitivity_at_four_cycles(record: dict) -> None:  # type: ignore[type-arg]
    given = record["inputs"]
    found = barten.sensitivity(given["u"], given["L"], given["X0_deg"])
    assert found == pytest.approx(record["expected"], abs=record["tolerance"])


def test_parts_of_barten_s_formula() -> None:
    pupil, sigma = value("BARTEN-PUPIL"), value("BARTEN-SIGMA")
    troland, mtf, doc = value("BARTEN-TROLAND"), value("BARTEN-MTF"), value("BARTEN-DOC")
    assert barten.pupil_mm(pupil["inputs"]["L"], pupil["inputs"]["X0_deg"]) == pytest.approx(
        pupil["expected"], abs=1e-6
    )
    assert barten.blur_deg(sigma["inputs"]["d"]) == pytest.approx(sigma["expected"], abs=1e-10)
    found = barten.retinal_td(troland["inputs"]["L"], troland["inputs"]["d"])
    assert found == pytest.approx(troland["expected"], abs=1e-8)
    assert barten.optical_mtf(mtf["inputs"]["u"], mtf["inputs"]["sigma_deg"]) == pytest.approx(
        mtf["expected"], abs=1e-9
    )
    # Pupil 2.1 mm, 20 cd/m², field 60 degrees.
    assert barten.sensitivity(4, 20, 60, pupil=2.1) == pytest.approx(doc["expected"], abs=1e-5)


def test_barten_agrees_with_colour_science_over_frequency() -> None:
    from colour.contrast import contrast_sensitivity_function

    for u in (0.5, 1.0, 2.0, 8.0, 16.0):
        d = barten.pupil_mm(100, 10)
        theirs = contrast_sensitivity_function(
            method="Barten 1999", u=u, sigma=barten.blur_deg(d), E=barten.retinal_td(100, d), X_0=10, Y_0=10
        )
        assert barten.sensitivity(u, 100, 10) == pytest.approx(float(theirs), rel=1e-6)


def test_weber_threshold_is_twice_the_modulation() -> None:
    record = value("BARTEN-THR")
    assert barten.weber_threshold(4, 100, 60) == pytest.approx(record["expected"][1], abs=1e-7)


@pytest.mark.parametrize(
    ("w", "h", "luminance", "threshold", "index"),
    [
        (10, 1440, 100, 0.880, 1.14),
        (40, 2560, 100, 0.773, 1.29),
        (40, 2560, 10, 1.17, 0.85),
        (1280, 1440, 100, 0.70, 1.43),
        (1, 1440, 100, 1.99, 0.50),
    ],
)
def test_the_extension_at_600_mm(w: int, h: int, luminance: float, threshold: float, index: float) -> None:
    seen = ViewedZone(w * PITCH_MM, h * PITCH_MM, luminance)
    found = visibility.visibility(0.01, seen)
    assert found.threshold_percent == pytest.approx(threshold, abs=0.006)
    assert found.index == pytest.approx(index, abs=0.006)


def test_a_one_degree_ramp_doubles_the_threshold() -> None:
    # Campbell, Johnstone & Ross 1981: beyond half a degree detection follows the gradient.
    half = ViewedZone(1280 * PITCH_MM, 1440 * PITCH_MM, 100)
    soft = ViewedZone(half.width_mm, half.height_mm, 100, edge_mm=size_mm(1.0, 600))
    narrow = ViewedZone(half.width_mm, half.height_mm, 100, edge_mm=size_mm(0.3, 600))
    assert visibility.threshold_percent(soft) == pytest.approx(2 * visibility.threshold_percent(half), rel=1e-9)
    assert visibility.threshold_percent(narrow) == visibility.threshold_percent(half)


def test_words_change_at_the_agreed_borders() -> None:
    told = [visibility.word_for(v) for v in (0.69, 0.7, 1.49, 1.5, 3.0, 3.01)]
    assert told == ["invisible", "borderline", "borderline", "visible", "visible", "obvious"]


def test_the_model_s_band_and_the_contrast_s_own_interval_both_widen_the_answer() -> None:
    seen = ViewedZone(100, 10, 60)
    alone = visibility.visibility(0.012, seen)
    assert alone.low == pytest.approx(alone.index / 1.3)
    assert alone.high == pytest.approx(alone.index / 0.7)
    wide = visibility.visibility(0.012, seen, interval=(-0.001, 0.03))
    assert wide.low == 0
    assert wide.high == pytest.approx(3 / wide.threshold_percent / 0.7)
    assert wide.word_range == "invisible to obvious"


def test_every_index_says_what_it_assumes() -> None:
    found = visibility.visibility(0.01, ViewedZone(600, 340, 20, distance_mm=700))
    assert found.assumptions == "700 mm away, 20 cd/m², flat grey, dark room"
    assert len(found.notes) == 2
    assert math.isfinite(visibility.visibility(0.01, ViewedZone(10, 10, 0.0)).index)
