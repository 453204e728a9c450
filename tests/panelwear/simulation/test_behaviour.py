"""Limiter, dimming of standing pictures and warm-up."""

from __future__ import annotations

import math

import numpy as np
import pytest

from panelwear.simulation.behaviour import LOAD_WEIGHTS, NO_LIMITER, Limiter, StaticDimming, WarmUp


def test_limiter_takes_nothing_up_to_its_knee() -> None:
    limiter = Limiter(knee=0.25, full_share=0.6)
    assert limiter.gain([0.0, 0.1, 0.25]) == pytest.approx(1.0, abs=0)


def test_limiter_leaves_its_share_at_a_full_white_field() -> None:
    assert float(Limiter(knee=0.25, full_share=0.6).gain(1.0)) == pytest.approx(0.6)


def test_limiter_falls_steadily_and_less_than_the_load_rises() -> None:
    loads = np.linspace(0.25, 1, 50)
    gain = Limiter(knee=0.25, full_share=0.6).gain(loads)
    assert (np.diff(gain) < 0).all()
    assert (np.diff(gain * loads) > 0).all()


def test_without_limiter_the_load_does_not_matter() -> None:
    assert NO_LIMITER.gain([0.0, 0.5, 1.0]) == pytest.approx(1.0, abs=0)


def test_load_weights_add_up_to_a_white_field() -> None:
    assert sum(LOAD_WEIGHTS) == pytest.approx(1.0)


def test_a_standing_picture_dims_to_its_floor_after_its_time() -> None:
    dimming = StaticDimming(after_s=60, floor=0.85, tau_s=120)
    assert dimming.gain([0.0, 60.0]) == pytest.approx(1.0)
    assert float(dimming.gain(180.0)) == pytest.approx(1 - 0.15 * (1 - math.exp(-1)))
    assert float(dimming.gain(1e6)) == pytest.approx(0.85)


def test_warm_up_decays_exponentially_channel_by_channel() -> None:
    warm = WarmUp(amplitudes=(0.01, 0.02, 0.03), tau_s=100.0)
    assert warm.gain(0.0) == pytest.approx([1.01, 1.02, 1.03])
    assert warm.gain(100.0) - 1 == pytest.approx(np.array([0.01, 0.02, 0.03]) / math.e)
    assert warm.gain(math.inf) == pytest.approx(1.0)
