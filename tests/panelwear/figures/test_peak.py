"""Peak luminance of several windows: no chance winner, none that lies lower, none that fills the aperture badly."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from panelwear.figures.each import peak
from panelwear.figures.evidence import evidence_of
from panelwear.uncertainty.coverage import interval
from panelwear.uncertainty.estimate import Estimate
from tests.panelwear.figures.handmade import Bench
from tests.panelwear.figures.test_figures import NOTHING

SHARES = (1, 2, 4, 8, 16, 32, 64, 90)


def peak_of(light: Sequence[float], seed: int = 1, noise: float = 0.0, n: int = 5) -> Estimate:
    bench = Bench(seed, noise=noise)
    bench.put()
    for share, Y in zip(SHARES, light, strict=False):
        bench.read(f"loading/centre/grey/c255/w{share}", "loading", Y, n=n)
    return peak.figures(evidence_of(bench.table(), NOTHING))[0]


@pytest.mark.parametrize(
    "light",
    [[300.0] * 8, [300.0] * 4 + [260.0] * 4, [300.0, *[299.4] * 7], [300.0 - 0.15 * i for i in range(8)]],
    ids=["equal", "half", "just below", "slope"],
)
def test_the_interval_holds_the_brightest_windows_light(light: list[float]) -> None:
    found = [peak_of(light, seed, 0.002) for seed in range(300)]
    held = [low <= 300 <= high for low, high in map(interval, found)]
    # 0.93 to 0.975 wanted; with 300 draws 0.905 lies two standard deviations below 0.93.
    assert np.mean(held) >= 0.905
    scatter = np.std([e.value for e in found])
    assert abs(np.mean([e.value for e in found]) - 300) < 0.6 * 0.002 * 300 / np.sqrt(5)
    assert scatter < 1.2 * np.median([e.u for e in found])


def test_the_windows_are_named() -> None:
    assert peak_of([300, 280, 250]).note == "at the 1 % window"
    pooled = peak_of([300, 301, 250], noise=1e-12)
    assert pooled.value == pytest.approx(301)
    assert pooled.note == "at the 2 % window"


def test_equal_windows_without_noise_are_what_they_are() -> None:
    found = peak_of([300, 300, 250])
    assert found.value == pytest.approx(300)
    assert found.note == "at the 1 % window"


def test_of_windows_that_cannot_be_told_apart_the_mean_is_taken() -> None:
    rising = peak_of([300.0, 300.2, 250.0], seed=2, noise=0.002)
    assert rising.note == "at the 1 % window to the 2 % window, mean"
    falling = peak_of([300.2, 300.0, 250.0], seed=4, noise=0.002)
    assert falling.note == "at the 1 % window"


def test_a_small_window_that_does_not_fill_the_aperture_does_not_pull_the_peak_down() -> None:
    found = peak_of([240.0, 300.0, 300.0, 250.0], noise=0.001)
    assert found.value == pytest.approx(300, abs=0.5)
    assert "1 % window" not in found.note
