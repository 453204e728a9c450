"""Closing in on a luminance, on simulated panels with and without a limiter."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from panelwear.panel.assumed import assumed_response
from panelwear.panel.curve import Curve
from panelwear.panel.noise import NoiseModel
from panelwear.panel.refine import Refined, refine, trial_readings
from tests.panelwear.panel.panels import Panel, measured, power_law, s_shaped

PANELS = [
    pytest.param(Panel(shape, limiter=limiter), id=f"{name}{'-limited' if limiter < 1 else ''}")
    for name, shape in [*((f"g{g}", power_law(g)) for g in (1.8, 2.0, 2.2, 2.4, 2.6)), ("s", s_shaped)]
    for limiter in (1.0, 0.06)
]
PROBE = NoiseModel(0.003, 0.0, 0.0015)


def close_in(wanted: float, curve: Curve, read: Callable[[float], float], *, mix: bool) -> Refined:
    steps = refine(wanted, curve, between_codes=mix)
    code = next(steps)
    for _ in range(10):
        try:
            code = steps.send(read(code))
        except StopIteration as end:
            return end.value  # type: ignore[no-any-return]
    raise AssertionError("it went on for more than ten trials")


def wanted_levels(panel: Panel) -> np.ndarray:
    return np.geomspace(0.5, 0.9 * panel.luminance(255), 40)


@pytest.mark.parametrize("panel", PANELS)
def test_every_level_is_met_within_half_a_code_step(panel: Panel) -> None:
    curve = measured(panel).grey
    true = np.array([panel.luminance(code) for code in range(256)])
    for wanted in wanted_levels(panel):
        found = close_in(float(wanted), curve, panel.luminance, mix=False)
        above = int(np.searchsorted(true, wanted))
        half = (true[above] - true[above - 1]) / 2
        assert abs(panel.luminance(found.code) - wanted) <= half * (1 + 1e-9)
        assert len(found.trials) <= 3


@pytest.mark.parametrize("panel", PANELS)
def test_every_level_is_met_within_half_a_per_cent_by_the_mix_with_a_probe_that_scatters(panel: Panel) -> None:
    rng = np.random.default_rng(3)
    curve = measured(panel, rng).grey

    def read(code: float, n: int) -> float:
        true = panel.luminance(code)
        return float(true + rng.normal(0, PROBE.sd(true) / np.sqrt(n)))

    for wanted in wanted_levels(panel):
        n = trial_readings(float(wanted), curve, PROBE, between_codes=True)
        found = close_in(float(wanted), curve, lambda code, n=n: read(code, n), mix=True)  # type: ignore[misc]
        assert panel.luminance(found.code) == pytest.approx(wanted, rel=0.005)
        assert found.met
        assert found.sentence == ""


def test_without_a_measured_response_three_trials_still_close_in() -> None:
    panel = Panel(power_law(2.4), peak_cd_m2=320.0)
    assumed = assumed_response({"kind": "srgb", "peak_cd_m2": 80.0}).grey
    for wanted in (2.0, 20.0, 60.0):
        found = close_in(wanted, assumed, panel.luminance, mix=True)
        assert panel.luminance(found.code) == pytest.approx(wanted, rel=0.005)


def test_a_good_start_needs_one_trial() -> None:
    panel = Panel(power_law(2.2))
    found = close_in(50.0, measured(panel).grey, panel.luminance, mix=True)
    assert len(found.trials) == 1


def test_a_level_above_the_limited_peak_is_not_met_and_says_so() -> None:
    panel = Panel(power_law(2.2), limiter=0.06)
    assumed = assumed_response({"kind": "srgb", "peak_cd_m2": 250.0}).grey
    found = close_in(200.0, assumed, panel.luminance, mix=True)
    assert not found.met
    assert "200 cd/m² could not be closed in on" in found.sentence
    assert "150" in found.sentence


@pytest.mark.parametrize("bad", [float("nan"), 0.0, -1.0, float("inf")])
def test_an_absurd_trial_reading_ends_it_with_the_best_known(bad: float) -> None:
    curve = measured(Panel(power_law(2.2))).grey
    found = close_in(50.0, curve, lambda _: bad, mix=True)
    assert found.code == curve.nearest_code(50.0, between_codes=True)
    assert not found.met
    assert "no usable trial reading" in found.sentence


def test_dark_levels_get_more_readings_a_trial() -> None:
    curve = measured(Panel(power_law(2.2))).grey
    counts = [trial_readings(L, curve, PROBE, between_codes=True) for L in (0.5, 2.0, 50.0)]
    # Readings for a third of half a per cent: (3 s / (0.005 L))², by hand 14, 2 and 1.
    assert counts == [14, 2, 1]
