"""What many readings of one showing come to is what all of them, written out one by one, come to."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from panelwear.errors import FileFault
from panelwear.figures import averaging, evidence
from panelwear.figures.checkpoint import of_checkpoint
from panelwear.panel import showings
from panelwear.panel.showings import shared, showings_of
from panelwear.panel.timeline import DriftFactor, timeline_of
from panelwear.uncertainty.meter import MeterTerms
from tests.panelwear.figures.handmade import Bench


def session(seed: int, readings: int) -> Bench:
    """Read a reference and two greys in turn, each some times in a row."""
    bench = Bench(seed, noise=0.001, drift=lambda t: 0.004 * t / 3600)
    for _ in range(4):
        bench.put()
        for key, purpose, Y in (("reference/centre/grey/c128/w10", "reference", 50.0),
                                ("white/centre/grey/c255/w10", "white", 250.0)):  # fmt: skip
            bench.read(key, purpose, Y, n=readings, pause_s=1.0)
    return bench


@pytest.mark.parametrize("tau_s", [0.5, 12.0, 400.0])
def test_a_long_showing_keeps_the_share_of_noise_that_all_pairs_of_its_readings_give(
    monkeypatch: pytest.MonkeyPatch, tau_s: float
) -> None:
    rng = np.random.default_rng(3)
    times = rng.permutation(np.sort(rng.uniform(0, 500, 300)))
    names = (times > 100).astype(np.int64) + (times > 104)
    pair_by_pair = np.ones(3)
    for name in range(3):
        t = times[names == name]
        pair_by_pair[name] = np.exp(-np.abs(t[:, None] - t) / tau_s).mean()
    for many in (10_000, 0):
        monkeypatch.setattr(showings, "_MANY", many)
        assert showings_of(times, names)[0].own(tau_s) == pytest.approx(pair_by_pair, rel=1e-12)


def test_long_showings_share_what_all_pairs_of_their_readings_give() -> None:
    rng = np.random.default_rng(6)
    times = np.sort(rng.uniform(0, 4000, 400))
    names = np.searchsorted([1500.0, 1540.0, 2800.0], times)
    shown, _ = showings_of(times, names.astype(np.int64))
    for tau_s in (12.0, 2.0, 400.0):
        found = shared(shown, shown, tau_s)
        all_pairs = np.exp(-np.abs(times[:, None] - times) / tau_s)
        wanted = [[all_pairs[np.ix_(names == i, names == j)].mean() for j in range(4)] for i in range(4)]
        assert found == pytest.approx(np.array(wanted), rel=1e-9, abs=1e-25)
        np.linalg.cholesky(found)  # a covariance


def test_the_factor_of_groups_of_rows_is_their_mean() -> None:
    rng = np.random.default_rng(4)
    factor = DriftFactor(rng.integers(0, 7, 900), rng.normal(size=(7, 3, 5)))
    groups = np.split(rng.permutation(900)[:800], (1, 4, 300))
    sizes = np.array([len(rows) for rows in groups])

    found = factor.means(np.concatenate(groups), np.repeat(np.arange(4), sizes), sizes)

    wanted = [factor.of_showings[factor.number[rows]].mean(axis=0) for rows in groups]
    assert found == pytest.approx(np.array(wanted), rel=1e-12, abs=1e-15)


def test_every_row_has_the_drift_of_its_showing() -> None:
    table = session(1, 3).table(segment_starts=(1, 13))
    line = timeline_of(table)
    shown = {number: {*zip(table.visit[rows].tolist(), table.patch[rows].there(), strict=False)}
             for number in range(len(line)) for rows in [np.flatnonzero(line.number == number)]}  # fmt: skip

    assert len(line) == len(table) / 3
    assert all(len(held) == 1 for held in shown.values())
    assert [len(line.segments[segment][0]) for segment in (1, 2)] == [4, 4]


def test_figures_of_many_readings_are_those_of_all_written_out(monkeypatch: pytest.MonkeyPatch) -> None:
    def worked_out(set_limits: Callable[[int], None], many: int) -> list[tuple[str, float, float]]:
        set_limits(many)
        found = of_checkpoint(session(2, 30).table(), MeterTerms())
        return [(name, estimate.value, estimate.u) for name, estimate in found.items()]

    def limits(many: int) -> None:
        for module, name in ((showings, "_MANY"), (averaging, "MANY")):
            monkeypatch.setattr(module, name, many)

    few, all_of_them = worked_out(limits, 4), worked_out(limits, 10_000)

    assert [name for name, _, _ in few] == [name for name, _, _ in all_of_them]
    for (name, value, u), (_, wanted, wanted_u) in zip(few, all_of_them, strict=True):
        assert value == pytest.approx(wanted, rel=1e-9, abs=1e-12, nan_ok=True), name
        assert u == pytest.approx(wanted_u, rel=1e-6, abs=1e-12, nan_ok=True), name


def test_more_showings_than_drift_can_be_worked_out_for_are_a_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(evidence, "MOST_SHOWINGS", 7)

    with pytest.raises(FileFault, match="patches were shown 8 times; figures are made of 7 at most"):
        of_checkpoint(session(1, 2).table(), MeterTerms())
