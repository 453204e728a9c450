"""Readings that cannot be light, and those that only look odd."""

import math
from pathlib import Path

import numpy as np
import pytest

from panelwear.colorimetry.basic import XYZ_of_xyY
from panelwear.colorimetry.plausible import possible, why_impossible
from panelwear.compare.differences import compare_circumstances
from panelwear.figures import of_checkpoint
from panelwear.readings.soundness import impossible_rows
from panelwear.uncertainty.meter import MeterTerms
from tests.panelwear.figures.handmade import Bench
from tests.panelwear.readings.rows import in_columns


@pytest.mark.parametrize(
    ("XYZ", "said"),
    [
        ((95.0, math.nan, 108.0), "Y = nan"),
        ((95.0, math.inf, 108.0), "Y = inf"),
        ((-19.0, -20.0, -21.0), "cannot be negative"),
        ((9.5e29, 1e30, 1e30), "more than any display"),
        ((399.0, 1.0, 0.0), "x = 0.9975"),
        ((60.0, 30.0, -9.0), "Z = -9"),
    ],
)
def test_what_no_light_can_be_is_refused_with_the_number_that_is_wrong(XYZ, said):
    assert not possible(XYZ)[0]
    assert said in why_impossible(*XYZ)


@pytest.mark.parametrize(
    "XYZ",
    [
        (61.0, 30.0, -0.06),
        (-0.02, 0.001, 0.01),
        tuple(XYZ_of_xyY(0.708, 0.292, 40.0)),
        tuple(XYZ_of_xyY(0.131, 0.046, 9.0)),
        tuple(XYZ_of_xyY(0.170, 0.797, 200.0)),
    ],
)
def test_deep_colours_and_the_noise_of_the_dark_are_light(XYZ):
    assert possible(XYZ)[0]
    assert why_impossible(*XYZ) == ""


def test_a_meter_of_luminance_alone_is_judged_by_it():
    assert possible([(math.nan, 80.0, math.nan)])[0]
    assert why_impossible(None, 80.0, None) == ""
    assert why_impossible(None, 1e30, None)


def test_deep_red_a_little_below_zero_in_Z_keeps_its_figure_and_a_real_absurdity_is_counted_and_named(
    tmp_path: Path,
):
    bench = Bench()
    bench.put()
    bench.read("primary/centre/red/c255/w10", "primary", 30.0, (0.67, 0.3307), n=5)
    bench.read("white/centre/grey/c255/w10", "white", 300.0, n=5)
    assert bench.rows[0].Z_cd_m2 == pytest.approx(-0.0635, abs=0.001)
    bench.rows[7] = type(bench.rows[7])(**{f: getattr(bench.rows[7], f) for f in bench.rows[7].__slots__}
                                        | {"X_cd_m2": 399.0, "Y_cd_m2": 1.0, "Z_cd_m2": 0.0})  # fmt: skip
    found = of_checkpoint(bench.table(), MeterTerms())
    assert found.evidence.left_out == 1
    assert [m.n for m in found.evidence.means] == [5, 4]
    assert any("1 impossible as light" in note for note in found.notes)
    (said,) = impossible_rows(in_columns(bench.rows, tmp_path), "readings.csv")
    assert "row 8" in said
    assert "x = 0.9975" in said
    here = found.evidence.circumstances
    assert any("1 impossible as light" in d.what for d in compare_circumstances(here, here).differences)


def test_any_three_numbers_are_judged_alike_in_a_table_and_alone():
    rng = np.random.default_rng(5)
    values = rng.choice([-30.0, -0.04, 0.0, 1e-6, 0.3, 50.0, 90.0, 1e7, np.inf, -np.inf], (400, 3))
    alone = [why_impossible(*map(float, XYZ)) == "" for XYZ in values]
    assert possible(values).tolist() == alone
