"""How much of the aperture an edge, a strip, a window fills."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelwear.panel.aperture import (
    edge_of_share,
    filled_by_rect,
    filled_fraction,
    narrow_zone,
    share_left_of_edge,
    window_refused,
)
from patterns.frame import Rect


@pytest.mark.parametrize(("width_mm", "share"), [(5.0, 0.609), (2.0, 0.253), (10.0, 1.0), (30.0, 1.0), (0.0, 0.0)])
def test_filled_fraction_of_a_strip_in_a_ten_millimetre_aperture(width_mm: float, share: float) -> None:
    # Circular segment, elementary geometry; 5 mm gives 0.609 and 2 mm 0.253, computed by hand.
    assert filled_fraction(10.0, width_mm) == pytest.approx(share, abs=5e-4)


def test_filled_fraction_is_that_of_points_thrown_at_random() -> None:
    rng = np.random.default_rng(1)
    x, y = rng.uniform(-5, 5, (2, 400_000))
    inside = np.hypot(x, y) <= 5
    for width in (1.0, 4.0, 8.5):
        assert filled_fraction(10.0, width) == pytest.approx(np.mean(np.abs(x[inside]) <= width / 2), abs=3e-3)


@given(st.floats(-1, 1))
def test_edge_of_share_is_the_inverse_of_share_left_of_edge(k: float) -> None:
    assert share_left_of_edge(edge_of_share(share_left_of_edge(k))) == pytest.approx(share_left_of_edge(k), abs=1e-9)


def test_edges_beyond_the_disc_leave_all_or_nothing() -> None:
    assert [share_left_of_edge(k) for k in (-1.5, 0.0, 1.5)] == [0.0, 0.5, 1.0]


@pytest.mark.parametrize(("aperture", "width"), [(0.0, 1.0), (-1.0, 1.0), (10.0, -1.0), (float("nan"), 1.0)])
def test_impossible_apertures_are_refused(aperture: float, width: float) -> None:
    with pytest.raises(ValueError, match="millimetres above zero"):
        filled_fraction(aperture, width)


def test_a_rectangle_across_the_disc_fills_what_the_strip_formula_says() -> None:
    assert filled_by_rect((-2.5, -50, 5, 100), (0, 0), 10.0) == pytest.approx(filled_fraction(10.0, 5.0), abs=2e-3)
    assert filled_by_rect((0, 0, 100, 100), (0, 0), 10.0) == pytest.approx(0.25, abs=2e-3)
    assert filled_by_rect((-20, -20, 40, 40), (0, 0), 10.0) == pytest.approx(1.0, abs=1e-3)
    assert filled_by_rect((20, 20, 40, 40), (0, 0), 10.0) == 0.0


def test_a_window_smaller_than_the_aperture_is_refused_in_a_sentence() -> None:
    assert window_refused(Rect(0, 0, 100, 100), (0.3, 0.3), 10.0) == ""
    said = window_refused(Rect(0, 0, 100, 20), (0.3, 0.3), 10.0, "The window of 1 %")
    assert said.startswith("The window of 1 % is 30.0 mm x 6.0 mm on this panel, too small")
    assert "10.5 mm" in said


def test_a_zone_narrower_than_the_aperture_is_said_with_its_filled_fraction() -> None:
    said = narrow_zone("route-line", Rect(0, 100, 1000, 20), (0.25, 0.25), 10.0)
    assert "'route-line' is 5.0 mm wide" in said
    assert "61 %" in said
    assert "0.609" in said
    assert "strip method" in said
    assert narrow_zone("chart", Rect(0, 0, 1000, 500), (0.25, 0.25), 10.0) == ""
