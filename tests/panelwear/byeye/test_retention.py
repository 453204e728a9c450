from __future__ import annotations

import math
from collections import Counter

import numpy as np
import pytest

from panelwear.byeye.retention import RestedContrast, extrapolate
from panelwear.errors import UsageError

MINUTES = (0.0, 15.0, 30.0, 60.0)


def simulated(lasting: float, passing: float, tau: float, u: float, seed: int) -> list[RestedContrast]:
    rng = np.random.default_rng(seed)
    return [RestedContrast(t, lasting + passing * math.exp(-t / tau) + rng.normal(0, u), u) for t in MINUTES]


@pytest.mark.parametrize(
    ("lasting", "passing", "tau", "expected"),
    [(0.02, 0.0, 15, "lasting"), (0.0, 0.02, 12, "passing"), (0.01, 0.01, 12, "mixed"), (-0.02, 0.0, 15, "lasting")],
)
def test_planted_ghosts_are_told_apart(lasting: float, passing: float, tau: float, expected: str) -> None:
    told = Counter(extrapolate(simulated(lasting, passing, tau, 0.001, s)).verdict for s in range(100))
    assert told[expected] >= 80
    wrong = {"lasting": "passing", "passing": "lasting", "mixed": "nothing seen"}[expected]
    assert told[wrong] == 0  # type: ignore[index]


@pytest.mark.parametrize(
    ("lasting", "passing", "tau"), [(0.02, 0.0, 15), (0.0, 0.02, 12), (0.01, 0.01, 25), (0.0, 0.02, 60)]
)
def test_the_uncertainty_covers_what_really_stays(lasting: float, passing: float, tau: float) -> None:
    covered = 0
    for seed in range(100):
        found = extrapolate(simulated(lasting, passing, tau, 0.001, seed))
        covered += abs(found.lasting - lasting) <= 2 * found.u_lasting
    assert covered >= 90


def test_a_slow_decay_is_not_called_passing() -> None:
    # After an hour of a decay of an hour nobody can know where it ends.
    told = Counter(extrapolate(simulated(0.0, 0.02, 60, 0.001, s)).verdict for s in range(100))
    assert told["undecided"] >= 90
    assert told["passing"] == told["lasting"] == 0


def test_loose_settings_leave_it_undecided() -> None:
    told = Counter(extrapolate(simulated(0.01, 0.01, 12, 0.003, s)).verdict for s in range(60))
    assert told["undecided"] + told["nothing seen"] >= 48


def test_a_contrast_within_its_own_uncertainty_is_nothing_to_tell_apart() -> None:
    found = extrapolate([RestedContrast(t, 0.001, 0.002) for t in MINUTES])
    assert found.verdict == "nothing seen"


def test_the_sentence_has_every_number_with_its_unit_and_uncertainty() -> None:
    found = extrapolate([RestedContrast(t, 0.02, 0.001) for t in MINUTES])
    assert found.sentence.startswith(
        "Lasting: the zone did not fade, so this is wear (+2.00 % at first, +2.00 % after 60 min"
    )
    assert "± " in found.sentence
    assert "tomorrow" in found.sentence


def test_two_looks_are_too_few() -> None:
    with pytest.raises(UsageError, match="at least three looks"):
        extrapolate([RestedContrast(0, 0.01, 0.001), RestedContrast(15, 0.01, 0.001)])
    with pytest.raises(UsageError, match="cannot be weighed"):
        extrapolate([RestedContrast(t, 0.01, 0.0) for t in MINUTES])
