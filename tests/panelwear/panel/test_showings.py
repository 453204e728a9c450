"""What slow noise leaves in a showing, and what two showings share of it."""

import numpy as np
import pytest

from panelwear.panel.showings import Showings, shared, showings_of


@pytest.mark.parametrize(
    ("dt_over_tau", "n", "inflation"),
    [(0.1, 3, 2.75), (0.1, 5, 4.29), (0.5, 3, 2.05), (0.5, 5, 2.65), (0.5, 20, 3.69), (1, 10, 1.98), (2, 5, 1.24)],
)
def test_the_variance_of_a_mean_is_that_of_a_first_order_process(dt_over_tau, n, inflation):
    # var(mean) = s²/n I with I = (1+φ)/(1-φ) - 2φ(1-φⁿ)/(n(1-φ)²), φ = exp(-dt/τ): the formula of a first-order
    # autoregressive series, worked out by hand to three digits (Box, Jenkins & Reinsel, Time Series Analysis; from
    # memory).
    one = Showings(np.arange(n) * dt_over_tau, np.zeros(n, dtype=np.intp), np.array([float(n)]), np.zeros(1))
    assert one.own(1.0)[0] * n == pytest.approx(inflation, abs=0.006)


def test_what_two_showings_share_is_the_mean_over_all_pairs_of_their_readings():
    rng = np.random.default_rng(1)
    times = np.sort(rng.uniform(0, 100, 24))
    names = np.repeat([3, 1, 2, 0, 9], [4, 6, 1, 8, 5])
    found, first = showings_of(times, names)
    assert found.n.tolist() == [4, 6, 1, 8, 5]
    assert first.tolist() == [0, 4, 10, 11, 19]
    kernel = np.exp(-np.abs(times[:, None] - times) / 17.0)
    mean = np.array([(found.number == i) / found.n[i] for i in range(5)])
    assert shared(found, found, 17.0) == pytest.approx(mean @ kernel @ mean.T, rel=1e-12)


def test_a_showing_ends_where_something_else_is_shown():
    found, _ = showings_of(np.array([0.0, 1, 2, 3, 4]), np.array([7, 7, 5, 7, 7]))
    assert found.n.tolist() == [2, 1, 2]
    assert found.mean(np.array([1.0, 3, 5, 7, 9])).tolist() == [2, 5, 8]
