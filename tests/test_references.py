"""The check values themselves: where they come from, and that an independent computation gives what is stored."""

from __future__ import annotations

from importlib.resources import files

import numpy as np
import pytest

from panelwear.colorimetry import gsdf, transfer
from panelwear.colorimetry.basic import XYZ_of_xyY
from panelwear.colorimetry.cct import LOCUS, cct_duv, cct_duv_of_uv
from panelwear.uncertainty.coverage import t_factor
from tests.references import independent, planck, values

WAYS = (
    "table",
    "worked example",
    "stated by the source",
    "from memory",
    "computed with the plain formula that 'quantity' states",
    f"{independent.COMPUTED} from ",
)
LIBRARIES = ("colour-science", "scipy", "panelwear", "numpy")


def test_every_value_names_its_source_and_how_it_is_known_and_none_was_computed_with_what_it_tests():
    for record in values(""):
        assert record["source"], record["id"]
        assert record["how_known"].startswith(WAYS), record["id"]
        for said in (record["how_known"], record["source"]):
            assert not any(library in said for library in LIBRARIES), record["id"]


def test_every_value_has_one_name():
    ids = [record["id"] for record in values("")]
    assert len(ids) == len(set(ids)) > 242


@pytest.mark.parametrize(
    "record", [r for r in values("") if r["how_known"].startswith(independent.COMPUTED)], ids=lambda r: r["id"]
)
def test_the_independent_computation_gives_what_is_stored(record):
    again = independent.rounded(independent.computed(record), record["tolerance"])
    # A computer that rounds its last bit otherwise may differ by one in the last stored digit.
    assert again == pytest.approx(record["expected"], abs=record["tolerance"] / 50)


def test_the_observer_has_the_sums_and_gives_the_illuminant_that_its_publishers_print():
    (sums,), (a,) = values("TAB-OBSERVER-SUMS"), values("TAB-OBSERVER-A")
    assert list(map(sum, zip(*planck.observer().values(), strict=True))) == pytest.approx(
        sums["expected"], abs=sums["tolerance"]
    )
    found = planck.xy_of_planck(a["inputs"]["T"], a["inputs"]["c2_m_K"], range(380, 781, 5))
    assert found == pytest.approx(a["expected"], abs=a["tolerance"])


TABLES = {
    "TAB-GSDF": (lambda i: gsdf.luminance_of(i["j"]), lambda i: independent.gsdf_cd_m2(i["j"])),
    "TAB-CCT": (
        lambda i: cct_duv([XYZ_of_xyY(*i["xy"], 100.0)])[0][0],
        lambda i: planck.cct_duv(*planck.uv_of_xy(*i["xy"]))[0],
    ),
    "TAB-UCS": (None, lambda i: independent.uv_1976(i["xy"])),
    "TAB-NPM": (None, lambda i: independent.luminance_row(i["space"])),
    "TAB-PQ": (lambda i: transfer.pq_signal(i["L"]), lambda i: independent.pq_signal(i["L"])),
    "TAB-HLG": (None, lambda i: independent.hlg_cd_m2(i["E'"])),
    "TAB-T95": (
        lambda i: [t_factor(nu) for nu in i["nu"]],
        lambda i: [independent.student_t(0.95, nu) for nu in i["nu"]],
    ),
}
"""By how the id of a printed value begins: the program, where it has the quantity, and the computation."""


@pytest.mark.parametrize(
    ("record", "computation"),
    [(r, c) for begin, pair in TABLES.items() for r in values(begin) for c in pair if c is not None],
    ids=lambda part: part["id"] if isinstance(part, dict) else "",
)
def test_printed_tables_are_met_by_the_program_and_by_the_independent_computation(record, computation):
    assert computation(record["inputs"]) == pytest.approx(record["expected"], abs=record["tolerance"])


def test_every_printed_table_is_met_by_somebody():
    told = {record["id"] for begin in (*TABLES, "TAB-OBSERVER") for record in values(begin)}
    assert told == {record["id"] for record in values("TAB-")}


def test_the_stored_locus_is_that_of_plancks_law_and_the_published_observer_up_to_780_nm():
    for T_K, u, v in np.load(files("panelwear.colorimetry").joinpath(LOCUS))[::150]:
        own = planck.uv_of_xy(*planck.xy_of_planck(T_K, wavelengths_nm=range(360, 781)))
        assert [u, v] == pytest.approx(own, abs=1e-12)


@pytest.mark.parametrize("T_K", [2000, 2700, 3500, 5000, 6504, 9300, 15000, 25000])
@pytest.mark.parametrize("duv", [-0.03, -0.003, 0.001, 0.02])
def test_colour_temperatures_are_those_of_the_nearest_point_of_the_whole_observers_locus(T_K, duv):
    # Ohno 2013 states 1 K up to 20,000 K and |Duv| of 0.03; the stored locus ends at 780 nm, which is 0.04 K of it.
    found = cct_duv_of_uv([planck.uv_off_the_locus(T_K, duv)])[0]
    assert found[0] == pytest.approx(T_K, abs=1.0 if T_K <= 20000 else 2.0)
    assert found[1] == pytest.approx(duv, abs=5e-6)
