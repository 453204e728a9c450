"""Values as a person reads them."""

import pytest

from panelwear.uncertainty.estimate import Estimate
from panelwear.uncertainty.formatting import or_reason, rounded, with_uncertainty


@pytest.mark.parametrize(
    ("estimate", "text"),
    [
        (Estimate("peak", 312.44, "cd/m²", 1.6), "312.4 ± 3.1 cd/m²"),
        (Estimate("white.x", 0.312712, "1", 0.00026), "0.31271 ± 0.00051"),
        (Estimate("white.cct", 6504.3, "K", 14.0), "6504 ± 27 K"),
        (Estimate("black", 0.00368, "cd/m²", 0.001, limit="<"), "< 0.00368 cd/m²"),
        (Estimate("contrast", 88567.2, "1", 900.0, limit=">"), "> 88500"),
        (Estimate("black", 0.01, "cd/m²", 0.001, limit="<"), "< 0.01 cd/m²"),
        (Estimate("gamma", float("nan"), "1", float("nan"), note="no ramp"), "— (no ramp)"),
        (Estimate("gamma", 2.2, "1", 0.0), "2.2 (uncertainty not known)"),
    ],
    ids=["peak", "x", "cct", "bound", "contrast", "even bound", "missing", "unknown"],
)
def test_a_figure_is_said_with_its_unit_and_uncertainty_to_two_digits(estimate, text):
    assert or_reason(estimate) == text


def test_a_step_has_a_true_minus_and_a_plus_only_where_it_asks_for_signs():
    # JCGM 100, G.2: 1.96 for infinitely many degrees of freedom.
    assert with_uncertainty(Estimate("x", -3.12, "%", 0.23)) == "\u22123.12 ± 0.45 %"
    assert with_uncertainty(Estimate("x", 3.12, "%", 0.23), signed=True) == "+3.12 ± 0.45 %"
    assert with_uncertainty(Estimate("x", -0.01, "%", 0.001, limit="<")) == "< \u22120.01 %"
    assert rounded(0.0, 0.2, signed=True) == "0.00"
