"""Variance components against NIST's certified sets, and how often the intervals hold."""

import math
from pathlib import Path

import numpy as np
import pytest

from panelwear.uncertainty.coverage import t_factor
from panelwear.uncertainty.variance import between, spread_interval
from tests import references

SETS = Path(references.__file__).parent / "nist_anova"
"""NIST StRD, one-way analysis of variance (public domain): data and certified values as NIST publishes them."""


def nist(name):
    lines = (SETS / f"{name}.dat").read_text(encoding="ascii").splitlines()
    at = next(i for i, line in enumerate(lines) if line.startswith("Data:") and i > 30)
    groups: dict[int, list[float]] = {}
    for line in lines[at + 1 :]:
        if line.split():
            number, value = line.split()
            groups.setdefault(int(number), []).append(float(value))
    certified = [line.split() for line in lines[:at] if line.split()[:1] in (["Between"], ["Within"])]
    (_, _, *inner), (_, _, *outer) = certified
    return list(groups.values()), [float(n) for n in inner], [float(n) for n in outer]


# Digits of F that 64-bit numbers keep for each set when a reading is subtracted first.
@pytest.mark.parametrize(("name", "digits"), [("SiRstv", 12), ("AtmWtAg", 9), ("SmLs01", 12), ("SmLs04", 9)])
def test_certified_mean_squares_and_F(name, digits):
    groups, inner, outer = nist(name)
    found = between(groups)
    assert found.dof == inner[0]
    assert found.readings - found.groups == outer[0]
    assert found.ms_between == pytest.approx(inner[2], rel=10.0**-digits)
    assert found.ms_within == pytest.approx(outer[2], rel=10.0**-digits)
    assert pytest.approx(inner[3], rel=10.0**-digits) == found.F


# From the certified sums by exact fractions: sqrt((MSB - MSW) / n) and sqrt(MSB / (k n)), rounded.
@pytest.mark.parametrize(
    ("name", "component", "u_mean", "mean"),
    [
        ("SiRstv", 0.019772392, 0.022615539, 196.189156),
        ("AtmWtAg", 1.1920196e-5, 8.70625e-6, 107.868145060),
        ("SmLs01", 0.097590007, 0.033333333, 1.4),
    ],
)
def test_components_and_the_mean_follow_from_the_certified_sums(name, component, u_mean, mean):
    found = between(nist(name)[0])
    assert found.component == pytest.approx(component, rel=2e-7)
    assert found.u_mean == pytest.approx(u_mean, rel=1e-6)
    assert found.mean == pytest.approx(mean, rel=1e-9)


def test_groups_that_differ_less_than_their_readings_have_no_component_but_a_spread():
    found = between([[1.0, 2.0, 3.0], [1.1, 2.0, 2.9]])
    assert found.component == 0.0
    assert found.spread >= 0.0
    with pytest.raises(ValueError, match="two groups"):
        between([[1.0]])


# NIST e-Handbook, 1.3.5.8: chi-squared with 4 and 9 degrees of freedom at 2.5 and 97.5 %.
@pytest.mark.parametrize(("dof", "low", "high"), [(4, 11.143, 0.484), (9, 19.023, 2.700)])
def test_the_interval_of_a_spread_is_that_of_the_tables(dof, low, high):
    assert spread_interval(1.0, dof) == pytest.approx((math.sqrt(dof / low), math.sqrt(dof / high)), rel=1e-3)


@pytest.mark.parametrize("evenings", [2, 3, 5])
def test_intervals_hold_in_19_of_20_simulations(evenings):
    rng = np.random.default_rng(evenings)
    draws, n, between_sd, within_sd = 4000, 20, 0.004, 0.0015
    true = math.hypot(between_sd, within_sd / math.sqrt(n))
    held = stepped = 0
    for _ in range(draws):
        level = between_sd * rng.standard_normal((evenings, 1))
        found = between((level + within_sd * rng.standard_normal((evenings, n))).tolist())
        low, high = spread_interval(found.spread, found.dof)
        held += low <= true <= high
        # A step between two later sessions of an unchanged panel, judged with what the evenings told.
        step = between_sd * float(np.diff(rng.standard_normal(2))[0])
        stepped += abs(step) <= t_factor(found.dof) * math.sqrt(2) * found.spread
    # Binomial, 4000 draws at 0.95: four standard deviations are 0.014.
    assert held / draws == pytest.approx(0.95, abs=0.014)
    assert 0.936 <= stepped / draws <= 0.97
