import math

import pytest

from probe_io.reading import FOOTLAMBERT_CD_M2, UNITS, tristimulus

D65 = (95.047, 100.0, 108.883)  # CIE 15, table T.3, illuminant D65, 2° observer


def test_y_x_y_becomes_tristimulus_values():
    # The published chromaticity of D65 (CIE 15: x = 0.31272, y = 0.32903) leads back to its tristimulus values.
    assert tristimulus("Yxy", {"Y": 100.0, "x": 0.31272, "y": 0.32903}) == pytest.approx(D65, abs=0.01)


def test_y_u_prime_v_prime_becomes_tristimulus_values():
    # CIE 15: u' = 0.19783, v' = 0.46834 for D65.
    found = tristimulus("Yu'v'", {"Y": 100.0, "u_prime": 0.19783, "v_prime": 0.46834})
    assert found == pytest.approx(D65, abs=0.02)


def test_a_footlambert_is_the_published_number_of_candelas():
    # 1 fL = 3.426 259 cd/m² (NIST SP 811, table of conversion factors).
    assert pytest.approx(3.426259, abs=5e-7) == FOOTLAMBERT_CD_M2


def test_lux_of_a_lambertian_surface_are_divided_by_pi():
    assert tristimulus("Y", {"Y": 314.159265}, UNITS["lx·pi"]) == (None, pytest.approx(100.0), None)


def test_a_factor_scales_all_three():
    assert tristimulus("XYZ", {"X": 1.0, "Y": 2.0, "Z": 3.0}, 10.0) == (10.0, 20.0, 30.0)


@pytest.mark.parametrize("values", [{"Y": 5.0, "x": 0.3, "y": 0.0}, {"Y": 5.0, "u_prime": 0.2, "v_prime": 0.0}])
def test_a_chromaticity_without_meaning_leaves_the_luminance(values):
    assert tristimulus("Yxy" if "x" in values else "Yu'v'", values) == (None, 5.0, None)


def test_all_units_are_positive():
    assert all(math.isfinite(factor) and factor > 0 for factor in UNITS.values())
