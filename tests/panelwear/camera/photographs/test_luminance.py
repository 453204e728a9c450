"""Colours of a camera weighed to luminance: true whatever the camera's filters and the exposures are."""

from __future__ import annotations

import numpy as np
import pytest

from panelwear.camera.photographs.luminance import GREEN_ALONE, luminance_weights, only

FILTERS = np.array([[0.9, 0.12, 0.02], [0.2, 1.0, 0.15], [0.02, 0.1, 0.8]])
"""Behind red, green and blue (rows) of the panel's red, green and blue (columns)."""
SHARES = (0.23, 0.69, 0.08)


def primaries(exposures=(1.0, 3.0, 0.4)):
    names = ("red", "green", "blue")
    return {name: FILTERS[:, n] * exposures[n] for n, name in enumerate(names)}


@pytest.mark.parametrize("worn", [(0.99, 1.0, 1.0), (1.0, 0.98, 1.0), (1.0, 1.0, 0.9), (0.97, 0.99, 0.93)])
def test_a_worn_channel_counts_by_its_share_in_luminance(worn):
    """Luminance is linear in light (CIE 15): it falls by the sum of the channels' losses times their shares."""
    parts = np.array([0.6, 1.0, 0.5])
    fresh = FILTERS @ parts
    weights = np.array(luminance_weights(fresh, primaries(), SHARES, "a measurement").of)
    fell = weights @ (FILTERS @ (parts * worn)) / (weights @ fresh)
    assert fell == pytest.approx(np.dot(SHARES, worn), abs=1e-12)


def test_without_the_three_fields_green_stands_alone_and_it_is_said():
    some = {name: value for name, value in primaries().items() if name != "blue"}
    assert luminance_weights(FILTERS.sum(axis=1), some) is GREEN_ALONE
    assert "too weakly" in GREEN_ALONE.caution


def test_filters_that_cannot_part_the_colours_are_not_weighed():
    alike = {name: np.ones(3) for name in ("red", "green", "blue")}
    assert luminance_weights(np.ones(3), alike) is GREEN_ALONE


def test_a_field_of_one_colour_is_seen_by_its_own_filter():
    assert only("blue").of == (0.0, 0.0, 1.0)
