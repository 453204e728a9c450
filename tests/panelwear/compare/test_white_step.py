"""White's step from white and from its channels: weighed by their covariance, or white alone where they do not fit."""

import math
from dataclasses import replace

import numpy as np
import pytest

from benchmarks.white_steps import BENCHES, centre_plan, tried
from panelwear.compare.change_table import change_table
from panelwear.compare.comparing import comparison_of
from panelwear.compare.comparison_tables import tables_of
from panelwear.compare.white_step import _least, white_step
from panelwear.uncertainty.meter import MeterTerms
from tests.panelwear.compare.panels import SAME, pairing_of, read, subject
from tests.panelwear.telling.unbroken import pair_lines

METER = MeterTerms(session_scale=0.005, session_xy=0.00025, session_filters=0.002, placement=0.001, dark_noise_cd_m2=0)


def rows_of(pairing):
    return {row.name: row for row in change_table(pairing, SAME)}


def altered(table, hue, factors):
    """Multiply X, Y, Z of what was read of one colour at full drive."""
    own = np.char.find(table.patch, f"primary/centre/{hue}/c255/") >= 0
    XYZ = np.where(own[:, None], table.XYZ * np.array(factors), table.XYZ)
    return replace(table, X=XYZ[:, 0], Y=XYZ[:, 1], Z=XYZ[:, 2])


def test_the_weights_are_those_of_generalised_least_squares():
    # δ = (AᵀC⁻¹A)⁻¹ AᵀC⁻¹ d for two readings of one vector, A = [I, I] (Aitken 1935); here by its other form.
    rng = np.random.default_rng(3)
    for _ in range(20):
        half = rng.standard_normal((4, 6))
        C, d = half @ half.T, rng.standard_normal(4)
        A = np.vstack([np.eye(2), np.eye(2)])
        textbook = np.linalg.solve(A.T @ np.linalg.solve(C, A), A.T @ np.linalg.solve(C, d))
        K = _least(C)
        assert d[:2] + K @ (d[2:] - d[:2]) == pytest.approx(textbook)
        both = np.hstack([np.eye(2) - K, K])
        assert both @ C @ both.T == pytest.approx(np.linalg.inv(A.T @ np.linalg.solve(C, A)))


# CCT of a BT.709 white at D65 whose channels kept these shares: see test_subpixels.
@pytest.mark.parametrize(("kept", "cct"), [((0.93, 0.92, 0.88), 6284), ((0.95, 1, 1), 6697), ((1, 1, 0.95), 6296)])
def test_both_ways_find_the_step_of_the_table(kept, cct):
    # Noise far below what is told of, so that only what is assumed of the probe stands in the uncertainties.
    found = white_step(pairing_of(read(noise=1e-6), read(kept=kept, noise=1e-6, seed=2), METER), SAME)
    assert found.counts
    for step in (found.direct_K, found.channels_K, found.together_K):
        assert step.value == pytest.approx(cct - 6504, abs=2)


def test_together_they_are_surer_than_white_alone_and_the_table_of_parts_adds_up():
    pairing = pairing_of(read(noise=0.0015, seed=1), read(kept=(1, 0.97, 0.95), noise=0.0015, seed=2), METER)
    found, rows = white_step(pairing, SAME), rows_of(pairing)
    cct = rows["white.cct"].change.step
    # One row, put together: the step of the table is that of both.
    assert cct.value == found.together_K.value
    assert cct.u == pytest.approx(found.together_K.u)
    assert cct.u < 0.8 * found.direct_K.u
    parts = {c.name: c for c in cct.components}
    assert math.sqrt(sum(c.u**2 for c in parts.values())) == pytest.approx(cct.u)
    assert {"session chromaticity", "session filters", "channels' own colour"} <= set(parts)
    # What white and channels share to the full drops out: the probe's scale moves the light of black alone.
    assert parts["session scale"].u < 0.01 * cct.u
    assert rows["white.uv_prime"].vector.values == pytest.approx(tuple(found.uv.values[:2]))
    assert [name for name in rows if name.startswith("white.")] == [
        "white.Y",
        "white.uv_prime",
        "white.cct",
        "white.duv",
    ]


def test_where_the_two_disagree_white_stands_alone_and_that_is_said():
    # Blue is read 4 % too low, white is not: 100 K and more that white does not know of.
    before, after = read(noise=0.0005, seed=1), read(noise=0.0005, seed=2)
    pairing = pairing_of(before, altered(after, "blue", (0.96, 0.96, 0.96)), METER)
    found, rows = white_step(pairing, SAME), rows_of(pairing)
    assert not found.counts and found.p < 0.01
    assert "rests on white alone" in found.sentence and "another step" in found.sentence
    assert rows["white.cct"].change.step.value == pytest.approx(found.direct_K.value, abs=1e-3)
    assert rows["white.cct"].change.step.u == pytest.approx(found.direct_K.u, rel=1e-3)
    assert found.channels_K.value < -100


def test_channels_that_do_not_add_or_change_their_colour_do_not_count():
    more = white_step(
        pairing_of(read(white_scale=1.4, noise=0.001), read(white_scale=1.4, noise=0.001, seed=2), METER), SAME
    )
    assert "white is 1.400 of red + green + blue" in more.why_not
    # A misfit under 2 % that stays is alike at both checkpoints and drops out.
    steady = pairing_of(read(white_scale=1.015, noise=0.001), read(white_scale=1.015, noise=0.001, seed=2), METER)
    assert white_step(steady, SAME).counts
    moved = pairing_of(read(noise=0.0005), read(white_scale=0.985, noise=0.0005, seed=2), METER)
    assert "moved beyond its uncertainty" in white_step(moved, SAME).why_not
    tinted = altered(read(noise=0.0005, seed=2), "blue", (1.0, 1.0, 1.06))
    assert white_step(pairing_of(read(noise=0.0005), tinted, METER), SAME).why_not.startswith("blue changed its own")


def test_without_channels_beside_it_nothing_is_put_together():
    table = read(noise=0.001)
    alone = table.where(np.char.find(table.patch, "/red/") < 0)
    assert white_step(pairing_of(alone, alone, METER), SAME) is None
    assert "white.uv_prime" in rows_of(pairing_of(alone, alone, METER))


def test_what_the_step_rests_on_is_said_with_the_comparison():
    subjects = [
        subject(read(noise=0.0015), "a", 0.0, METER),
        subject(read(kept=(1, 0.97, 0.95), noise=0.0015, seed=2), "b", 900.0, METER),
    ]
    found = comparison_of(subjects)
    (pair,) = found.pairs
    assert pair.white.startswith("The white shift combines white itself (")
    assert f"  {pair.white}." in pair_lines(pair, 0.95)
    remarks = tables_of(found)["remarks"].to_json()["rows"]
    assert any(row["kind"] == "white" and row["sentence"] == f"{pair.white}." for row in remarks)


@pytest.mark.slow
def test_simulated_steps_of_white_are_nearer_the_truth_than_white_alone():
    plan = centre_plan()
    for bench in BENCHES[1:3]:
        found = [tried(bench, seed, plan) for seed in range(1, 21)]
        alone, told = (math.sqrt(np.mean([t.away[i] ** 2 for t in found])) for i in (0, 1))
        assert told < 0.8 * alone
        # 95 % of 20: 16 or fewer would happen once in 60 such tests, and the seeds are fixed.
        assert sum(t.held[1] for t in found) >= 17
