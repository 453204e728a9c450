"""The sensor against the photon-transfer relations of EMVA Standard 1288."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from panelwear.simulation.camera.model import Sensor
from panelwear.simulation.camera.noise import digital, fixed_pattern
from tests.references import values

# EMVA-PTC of the references: K 0.25 DN/e-, 6 e- dark noise, offset 64 DN, PRNU 1 %, DSNU 2 e-.
SENSOR = Sensor(
    size_px=(512, 512), gain_dn_per_e=0.25, read_noise_e=6.0, offset_dn=64, bits=16, full_well_e=250_000.0,
    prnu=0.01, dsnu_e=2.0, dead_share=0.0, hot_share=0.0,
)  # fmt: skip


def frames(electrons: float, count: int, sensor: Sensor = SENSOR, seed: int = 1) -> np.ndarray:
    pattern = fixed_pattern(sensor)
    mean = np.full((sensor.size_px[1], sensor.size_px[0]), electrons, dtype=np.float32)
    rng = np.random.default_rng((seed, round(electrons)))
    return np.stack([digital(sensor, pattern, mean, rng, exposure_s=0.1) for _ in range(count)]).astype(float)


def transfer(electrons: float) -> tuple[float, float]:
    """Mean and temporal variance from two frames, in which the fixed pattern cancels (EMVA 1288, section 6.6)."""
    one, two = frames(electrons, 2)
    return (one.mean() + two.mean()) / 2, ((one - two) ** 2).mean() / 2 - (one.mean() - two.mean()) ** 2 / 2


def test_mean_and_variance_are_those_of_the_reference() -> None:
    (record,) = values("EMVA-PTC")
    for electrons, mean, variance in zip(
        record["inputs"]["electrons"], record["expected"]["mean"], record["expected"]["variance"], strict=True
    ):
        found = transfer(electrons)
        # PRNU over 512² pixels moves the mean by 1 % / 512; the variance of a variance is 2 / N (camera.md: 0.28 %).
        assert found[0] == pytest.approx(mean, rel=1e-4, abs=0.02)
        assert found[1] == pytest.approx(variance, rel=4 * 0.0028 + 0.003)


def test_gain_and_read_noise_come_back_out_of_the_transfer_curve() -> None:
    points = np.array([transfer(e) for e in (0, 200, 1000, 5000, 15000, 40000)])
    mean, variance = points[:, 0] - points[0, 0], points[:, 1]
    weights = 1 / variance**2
    gain, at_dark = np.polyfit(mean, variance, 1, w=np.sqrt(weights))
    assert gain == pytest.approx(0.25, rel=0.006)
    assert np.sqrt(at_dark - 1 / 12) / gain == pytest.approx(6.0, rel=0.02)


def test_prnu_and_dsnu_come_back_out_of_stacks() -> None:
    stacks = {electrons: frames(electrons, 16) for electrons in (0, 20_000)}
    mean = {e: stack.mean(axis=0) for e, stack in stacks.items()}
    spatial = {e: mean[e].var() - stack.var(axis=0, ddof=1).mean() / 16 for e, stack in stacks.items()}
    prnu = np.sqrt(spatial[20_000] - spatial[0]) / (mean[20_000].mean() - mean[0].mean())
    assert prnu == pytest.approx(0.01, rel=0.01)
    assert np.sqrt(spatial[0]) / 0.25 == pytest.approx(2.0, rel=0.01)


def test_few_electrons_are_counted_whole() -> None:
    sensor = replace(SENSOR, read_noise_e=0.0, prnu=0.0, dsnu_e=0.0, gain_dn_per_e=1.0)
    (few,) = frames(3.0, 1, sensor) - 64
    assert set(np.unique(few)) >= set(range(9))
    assert few.var() == pytest.approx(3.0, rel=0.02)
    assert ((few - 3) ** 3).mean() == pytest.approx(3.0, rel=0.06)  # third moment of a Poisson number: its mean


def test_a_long_exposure_is_as_linear_as_its_time_until_the_well_is_full() -> None:
    # EMVA 1288, linearity error: deviations from the fitted line over 5 to 95 % of saturation.
    sensor = replace(SENSOR, bits=14, full_well_e=50_000.0)
    time_s = np.linspace(0.05, 0.95, 10)
    mean = np.array([frames(50_000 * t, 1, sensor).mean() - 64 for t in time_s])
    slope, start = np.polyfit(time_s, mean, 1)
    assert np.abs(mean / (slope * time_s + start) - 1).max() < 5e-4
    assert frames(80_000, 1, sensor).mean() == pytest.approx(64 + 12_500, abs=2)
    assert sensor.white_dn == 64 + 12_500


def test_dead_pixels_see_nothing_and_hot_ones_glow_with_the_time() -> None:
    sensor = replace(SENSOR, dead_share=1e-3, hot_share=1e-3, hot_e_per_s=20_000.0)
    pattern = fixed_pattern(sensor)
    mean = np.full((512, 512), 20_000, dtype=np.float32)
    lit = digital(sensor, pattern, mean, np.random.default_rng(1), exposure_s=0.1) - 64.0
    assert 150 < (lit < 30).sum() < 280
    dark = digital(sensor, pattern, mean * 0, np.random.default_rng(1), exposure_s=1.0) - 64.0
    short = digital(sensor, pattern, mean * 0, np.random.default_rng(1), exposure_s=0.1) - 64.0
    assert 150 < (dark > 100).sum() < 280
    assert dark.ravel()[pattern.hot].mean() == pytest.approx(10 * short.ravel()[pattern.hot].mean(), rel=0.05)


def test_same_seed_same_frame() -> None:
    assert np.array_equal(frames(500.0, 1), frames(500.0, 1))
    assert not np.array_equal(frames(500.0, 1), frames(500.0, 1, seed=2))
    assert not np.array_equal(fixed_pattern(SENSOR).response, fixed_pattern(replace(SENSOR, seed=4)).response)
