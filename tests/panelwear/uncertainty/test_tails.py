"""Chances far out in the tails, where a part of the uncertainty is known from few readings."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.stats import chi2, norm
from scipy.stats import t as student

from panelwear.uncertainty.coverage import effective_dof
from panelwear.uncertainty.tails import chance_beyond

BEHRENS_FISHER = {
    # 5 % points of u1 t(n1) + u2 t(n2) over the combined u, tan(angle) = u1 / u2; Sukhatme 1938, as printed in Fisher
    # and Yates' tables (from memory; each is also found again below by an integral of another kind).
    (6, 6, 45): 2.435, (8, 6, 45): 2.364, (8, 8, 45): 2.292, (12, 6, 45): 2.301, (24, 6, 45): 2.247,
    (math.inf, 6, 45): 2.201, (math.inf, 6, 15): 1.993, (math.inf, 6, 75): 2.413,
}  # fmt: skip


@pytest.mark.parametrize("of", BEHRENS_FISHER)
def test_five_percent_points_of_behrens_and_fisher(of: tuple[float, float, float]) -> None:
    n1, n2, angle = of
    u1, u2 = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    assert chance_beyond(BEHRENS_FISHER[of], [(u1, n1), (u2, n2)]) == pytest.approx(0.05, abs=2e-4)


@pytest.mark.parametrize(("value", "u1", "n1", "u2"), [(0.7, 0.13, 6, 0.065), (1.5, 0.3, 3, 0.2), (4.0, 0.5, 1, 0.5)])
def test_against_an_integral_over_chi_squared(value: float, u1: float, n1: float, u2: float) -> None:
    # A scaled t is a normal whose variance is u² n / χ²(n): given χ² the tail of the sum is that of one normal.
    def tail(q: float) -> float:
        return float(2 * norm.sf(value / math.hypot(u2, u1 * math.sqrt(n1 / chi2.ppf(q, n1)))))

    wanted = quad(tail, 0, 1, limit=400, epsabs=1e-10)[0]
    assert chance_beyond(value, [(u2, math.inf), (u1, n1)]) == pytest.approx(wanted, rel=1e-4)


def test_one_part_is_students_t_and_known_parts_are_normal() -> None:
    assert chance_beyond(-2.0, [(0.8, 5)]) == pytest.approx(2 * student.sf(2.5, 5), rel=1e-12)
    assert chance_beyond(2.5, [(0.6, math.inf), (0.8, math.inf), (0.0, 3)]) == pytest.approx(
        2 * norm.sf(2.5), rel=1e-12
    )


def test_false_alarms_far_out_are_no_more_than_stated() -> None:
    # A zone's contrast: placement from six degrees of freedom, the rest well known. One effective number of degrees
    # of freedom calls 0.64 % of steps without any change unlikelier than 0.4 %.
    alpha, true = 0.004, math.hypot(0.13, 0.065)

    def rate(chance: Callable[[float, list[tuple[float, float]]], float]) -> float:
        seen = []
        for q in (np.arange(100) + 0.5) / 100:
            parts = [(0.13 * math.sqrt(chi2.ppf(q, 6) / 6), 6.0), (0.065, 400.0)]
            limit = brentq(lambda d, parts=parts: math.log(chance(d, parts) / alpha), 0.05, 3.0, xtol=1e-4)
            seen.append(2 * norm.sf(limit / true))
        return float(np.mean(seen))

    def effective(d: float, parts: list[tuple[float, float]]) -> float:
        us, dofs = zip(*parts, strict=True)
        return float(2 * student.sf(d / math.hypot(*us), effective_dof(us, dofs)))

    assert 0.7 * alpha < rate(chance_beyond) < 1.05 * alpha
    assert rate(effective) > 1.4 * alpha


@pytest.mark.parametrize("dof", [1.0, 2.5, 6.0, 80.0, 1e4])
def test_never_less_than_the_interval_tells(dof: float) -> None:
    for value in (0.0, 0.3, 1.0, 3.0, 30.0):
        parts = [(0.3, dof), (0.2, 30.0), (0.1, math.inf)]
        u = math.hypot(*(p[0] for p in parts))
        effective = u**4 / (0.3**4 / dof + 0.2**4 / 30)
        assert 2 * student.sf(value / u, effective) <= chance_beyond(value, parts) * (1 + 1e-9) <= 1 + 1e-6
