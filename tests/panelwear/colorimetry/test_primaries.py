"""White from primaries against BT.709 and BT.2020, and what wear does to it."""

import numpy as np
import pytest
from hypothesis import strategies as st

from panelwear.colorimetry.basic import XYZ_of_xyY, xy_of
from panelwear.colorimetry.cct import cct_duv
from panelwear.colorimetry.primaries import channel_luminances, worn_white
from tests.references import value

BT709 = [(0.64, 0.33), (0.30, 0.60), (0.15, 0.06)]
BT2020 = [(0.708, 0.292), (0.170, 0.797), (0.131, 0.046)]
P3 = [(0.680, 0.320), (0.265, 0.690), (0.150, 0.060)]
WHITE = XYZ_of_xyY(0.3127, 0.3290, 1.0)
shares = st.floats(0.5, 1.0)


@pytest.mark.parametrize(("primaries", "identifier"), [(BT709, "NPM-sRGB"), (BT2020, "NPM-ITU-RBT.2020")])
def test_channel_luminances_meet_the_luminance_row_of_the_standard(primaries, identifier):
    record = value(identifier)
    found = channel_luminances(primaries, WHITE)
    # The standard's row scales with white's chromaticity rounded to four digits.
    assert list(found) == pytest.approx(record["expected"], abs=1e-6)


@pytest.mark.parametrize(
    ("retention", "expected_K"),
    # Computed with colour-science 0.4.7 from BT.709 at 6504 K: red least, red most, green alone, all alike.
    [((1, 0.97, 0.95), 6305), ((0.95, 1, 1), 6697), ((1, 0.95, 1), 6533), ((0.95, 0.95, 0.95), 6504)],
)
def test_wear_moves_the_colour_temperature_as_computed(retention, expected_K):
    worn = worn_white(BT709, channel_luminances(BT709, WHITE), retention)
    assert cct_duv(100 * worn)[0] == pytest.approx(expected_K, abs=2)


def test_a_worn_bt709_white_has_the_computed_chromaticity():
    # Retention 0.93, 0.92, 0.88: x 0.3163, y 0.3337, Y 0.9192 (computed with numpy).
    worn = worn_white(BT709, channel_luminances(BT709, WHITE), (0.93, 0.92, 0.88))
    assert [*xy_of(worn), worn[1]] == pytest.approx([0.3163, 0.3337, 0.9192], abs=1e-4)


def test_primaries_on_a_line_have_no_solution():
    with pytest.raises(np.linalg.LinAlgError):
        channel_luminances([(0.64, 0.33), (0.64, 0.33), (0.15, 0.06)], WHITE)
