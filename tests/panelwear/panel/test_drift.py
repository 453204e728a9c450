"""Drift taken out by reference patches."""

import sys
from dataclasses import replace

import numpy as np
import pytest

from panelwear.panel.drift import fit_drift
from panelwear.panel.showings import Showings
from panelwear.readings.table import ReadingTable
from tests.panelwear.figures.handmade import Bench

WARMING = 0.008
"""0.8 % at the start, gone exponentially: what the issue of a warm-up looks like."""
TAU_S = 900.0


def session(seed: int, noise: float = 0.0015, amplitude: float = WARMING, visits: int = 1) -> ReadingTable:
    """Read 60 patches over about 20 minutes, the reference after every fifth, on a panel that warms up."""
    bench = Bench(seed, noise=noise, drift=lambda t: amplitude * np.exp(-t / TAU_S))
    for _ in range(visits):
        bench.put()
        bench.read("reference/centre/grey/c128/w10", "reference", 50.0)
        for number in range(60):
            bench.read(f"ramp/centre/grey/c{number + 1}/w10", "ramp", 5.0 * (number + 1), pause_s=12.0)
            if number % 5 == 4:
                bench.read("reference/centre/grey/c128/w10", "reference", 50.0)
    return bench.table()


def left(table: ReadingTable) -> np.ndarray:
    """Return what the correction leaves of the drift, mean over the session taken out."""
    true = WARMING * np.exp(-table.monotonic_s / TAU_S)
    error = fit_drift(table).log_drift(table) - true
    return error - error.mean()


@pytest.mark.slow
def test_of_an_0_8_percent_exponential_drift_less_than_0_03_percent_is_left():
    errors = np.array([left(session(seed)) for seed in range(100)])
    bias = np.abs(errors.mean(axis=0)).max()
    sys.stdout.write(f"bias left: {100 * bias:.4f} % at worst, scatter {100 * errors.std():.4f} %\n")
    assert bias < 0.0003


def test_without_noise_nearly_nothing_is_left():
    assert np.abs(left(session(1, noise=1e-6))).max() < 2e-5


@pytest.mark.slow
def test_the_stated_uncertainty_is_the_scatter_that_is_seen():
    pulls = []
    for seed in range(60):
        table = session(seed)
        drift = fit_drift(table)
        reference = table.purpose == "reference"
        true = WARMING * np.exp(-table.monotonic_s / TAU_S)
        error = drift.log_drift(table) - (true - true[reference].mean())
        pulls.append((error / drift.u(table))[::29])
    # Never less than is seen. More than is seen here, as 13 showings cannot rule out slow noise, which is not there.
    assert 0.5 < np.sqrt((np.concatenate(pulls) ** 2).mean()) < 1.1


def test_readings_stay_as_they_are_and_corrected_ones_keep_their_colour():
    table = session(2)
    before = table.Y.copy()
    even = fit_drift(table).corrected(table)
    assert np.array_equal(table.Y, before)
    assert np.abs(even.Y / before - 1).max() > 1e-3
    assert np.abs((even.X / even.Y) / (table.X / table.Y) - 1).max() < 1e-12


def test_each_visit_has_its_own_level_so_a_placement_is_not_taken_for_drift():
    table = session(3, noise=1e-6, amplitude=0.0, visits=2)
    second = table.visit == table.visit.max()
    moved = replace(table, Y=np.where(second, 1.01 * table.Y, table.Y))
    drift = fit_drift(moved)
    assert np.abs(drift.log_drift(moved)).max() < 1e-4


def test_drift_does_not_reach_across_an_interruption():
    table = session(4, noise=1e-6)
    half = len(table) // 2
    cut = replace(
        table,
        segment=np.where(np.arange(len(table)) < half, 1, 2),
        Y=np.where(np.arange(len(table)) < half, table.Y, 1.05 * table.Y),
    )
    drift = fit_drift(cut)
    assert [fit.segment for fit in drift.segments] == [1, 2]
    assert np.abs(drift.log_drift(cut)).max() < WARMING


def test_the_covariance_belongs_to_the_factor_and_times_beyond_the_references_are_held():
    table = session(5)
    fit = fit_drift(table).segments[0]
    times = np.linspace(fit.start_s, fit.end_s, 7)
    alone = Showings(times, np.arange(7), np.ones(7), times)
    mean, factor = fit.of_showings(alone)
    assert mean == pytest.approx(fit.log_drift(times))
    assert factor @ factor.T == pytest.approx(fit.covariance(times))
    # Drift is held; slow noise is forgotten within some of its time constants.
    beyond = fit.log_drift(fit.end_s + np.array([1e4, 1e5]))
    assert beyond[0] == beyond[1]
    assert abs(beyond[0] - fit.log_drift(np.array([fit.end_s]))[0]) < fit.slow


@pytest.mark.parametrize("showings", [0, 1])
def test_without_two_showings_of_the_reference_there_is_no_correction(showings):
    bench = Bench(1)
    bench.put()
    for _ in range(showings):
        bench.read("reference/centre/grey/c128/w10", "reference", 50.0)
    bench.read("ramp/centre/grey/c64/w10", "ramp", 10.0)
    table = bench.table()
    drift = fit_drift(table)
    assert drift.segments == ()
    assert (drift.log_drift(table) == 0).all()
    assert (drift.u(table) == 0).all()
    assert drift.in_table(table)[1].shape == (len(table), 0)


def test_unusable_readings_do_not_enter_the_fit():
    table = session(6, noise=1e-6)
    spoilt = table.purpose == "reference"
    spoilt &= table.repeat == 3
    flags = np.where(spoilt, "disturbed", table.flags)
    wild = replace(table, Y=np.where(spoilt, 2 * table.Y, table.Y), flags=flags)
    assert np.abs(left(wild)).max() < 2e-5


def test_a_hand_over_the_probe_is_no_drift():
    table = session(7, noise=1e-6)
    covered = (table.purpose == "reference") & (table.repeat == 2)
    dark = replace(table, Y=np.where(covered, 0.01, table.Y))
    # Used, such a reading would put the drift out by whole powers of ten.
    assert np.abs(left(dark)).max() < 1e-4
