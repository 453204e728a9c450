"""Drift, slow noise and placement told apart by what was shown more than once."""

import math
from dataclasses import replace

import numpy as np
import pytest

from panelwear.panel.drift import fit_drift
from panelwear.panel.showings import Showings
from panelwear.panel.slow_noise import NONE, Seat, Shown, restricted_scores, weigh
from panelwear.readings.table import ReadingTable
from tests.panelwear.figures.handmade import Bench

WHITE = "white/centre/grey/c255/w10"
SMLS01 = {"groups": 9, "of": 21, "between": 1.68, "within": 1.80}
"""NIST StRD, analysis of variance, SmLs01: certified sums of squares between and within nine groups of 21."""


def test_the_likelihood_is_largest_at_the_variance_the_certified_sums_of_squares_give():
    k, n = SMLS01["groups"], SMLS01["of"]
    s_w2 = SMLS01["within"] / (k * (n - 1))
    s_b2 = (SMLS01["between"] / (k - 1) - s_w2) / n  # 0.0095238: restricted likelihood and moments agree when balanced
    away = np.linspace(-1, 1, k)
    means = away * math.sqrt(SMLS01["between"] / n / (away**2).sum())
    alone = Showings(np.arange(k, dtype=float), np.arange(k), np.ones(k), np.arange(k, dtype=float))
    shown = Shown(alone, means, np.zeros(k, dtype=np.intp), np.arange(k), 0.0, 0)
    tried = s_b2 * np.linspace(0.5, 2.0, 301)
    scores = restricted_scores((tried + s_w2 / n)[:, None, None] * np.eye(k), shown)
    assert tried[np.argmin(scores)] == pytest.approx(s_b2, rel=0.01)
    assert s_b2 == pytest.approx(0.0095238, rel=1e-4)


def evening(seed: int, *, drift_per_h: float = 0.0, placements: int = 13) -> ReadingTable:
    """Read white once and a reference twice in each of 13 short placements at one place, 20 minutes in all."""
    bench = Bench(seed, noise=0.0015, placement=0.001, drift=lambda t: drift_per_h * t / 3600)
    for _ in range(placements):
        bench.put()
        bench.read("reference/centre/grey/c128/w10", "reference", 50.0, pause_s=8.0)
        bench.read(WHITE, "white", 257.39, pause_s=8.0)
        bench.read("reference/centre/grey/c128/w10", "reference", 50.0, pause_s=60.0)
    return bench.table()


def off(table: ReadingTable, drift_per_h: float) -> float:
    """Return how far white lies off its true value at the middle of the evening, as ln."""
    white = table.where(table.patch == WHITE)
    middle = float(table.monotonic_s.mean() - table.monotonic_s[0])
    return math.log(float(white.Y.mean()) / 257.39) - drift_per_h * middle / 3600


@pytest.mark.slow
@pytest.mark.parametrize("drift_per_h", [0.0, 0.005, 0.02])
def test_taking_drift_out_is_never_worse_than_leaving_it_in(drift_per_h):
    raw, even = [], []
    for seed in range(200):
        table = evening(seed, drift_per_h=drift_per_h)
        raw.append(table.where(table.patch == WHITE).Y / 257.39)
        even.append(fit_drift(table).corrected(table).where(table.patch == WHITE).Y / 257.39)
    # Every showing of white on its own, about the evening's mean: what is wanted of a patch that is shown once.
    scatter = [np.std(np.array(x) - np.mean(x, axis=1, keepdims=True)) for x in (raw, even)]
    assert scatter[1] <= 1.02 * scatter[0]
    if drift_per_h == 0.02:
        assert scatter[1] < 0.8 * scatter[0]


def test_a_steady_meter_put_down_thirteen_times_has_no_drift():
    shifts = []
    for seed in range(12):
        table = evening(seed)
        shifts.append(off(fit_drift(table).corrected(table), 0.0) - off(table, 0.0))
    # It was 0.5 % where each placement had a level of its own.
    assert np.sqrt(np.mean(np.square(shifts))) < 0.0002


def slow(table: ReadingTable, seed: int, share: float, tau_s: float) -> ReadingTable:
    rng = np.random.default_rng((seed, 3))
    lag = np.exp(-np.abs(table.monotonic_s[:, None] - table.monotonic_s) / tau_s)
    wander = np.linalg.cholesky(lag + 1e-9 * np.eye(len(table))) @ rng.standard_normal(len(table))
    factor = np.exp(share * wander)
    return replace(table, X=table.X * factor, Y=table.Y * factor, Z=table.Z * factor)


def session(seed: int) -> ReadingTable:
    """Read 40 patches, the reference after every fifth."""
    bench = Bench(seed, noise=0.0015)
    bench.put()
    for number in range(40):
        if number % 5 == 0:
            bench.read("reference/centre/grey/c128/w10", "reference", 50.0, pause_s=2.0)
        bench.read(f"ramp/centre/grey/c{number + 1}/w10", "ramp", 5.0 * (number + 1), pause_s=2.0)
    bench.read("reference/centre/grey/c128/w10", "reference", 50.0, pause_s=2.0)
    return bench.table()


@pytest.mark.parametrize(("share", "tau_s"), [(0.0015, 20.0), (0.0015, 60.0), (0.003, 200.0)])
def test_slow_noise_is_known_from_the_reference_shown_again_and_again(share, tau_s):
    calm = np.median([fit_drift(session(seed)).segments[0].slow for seed in range(5)])
    found = np.median([fit_drift(slow(session(seed), seed, share, tau_s)).segments[0].slow for seed in range(5)])
    assert 0.5 * share < found < 2 * share
    assert calm < 0.5 * share


def test_the_stated_uncertainty_holds_what_slow_noise_does_to_a_patch():
    pulls = []
    for seed in range(25):
        table = slow(session(seed), seed, 0.0015, 30.0)
        drift = fit_drift(table)
        even = drift.corrected(table)
        named = even.where(even.patch == "ramp/centre/grey/c20/w10")
        u = math.hypot(float(drift.u(named)[0]), drift.segments[0].noise / math.sqrt(len(named)))
        pulls.append(math.log(float(named.Y.mean()) / 100.0) / u)
    assert 0.6 < np.sqrt(np.mean(np.square(pulls))) < 1.35


def test_a_component_that_comes_out_small_is_never_dropped():
    beliefs = weigh(fit_drift(session(1)).segments[0].shown, Seat(0.001))
    assert sum(b.weight for b in beliefs) == pytest.approx(1)
    assert any(b.settings.slow > NONE for b in beliefs)
    assert any(b.settings.drift > NONE for b in beliefs)
