"""Published up-down rules, and where a track that follows them must settle.

Sources: Levitt, J. Acoust. Soc. Am. 49 (1971) 467 (transformed rules); Kaernbach, Perception & Psychophysics 49 (1991)
227 (weighted rules); García-Pérez, Vision Research 38 (1998) 1861 (fixed steps of unequal size).
"""

from __future__ import annotations

import math

from panelwear.byeye.forced_choice import Track, UpDownRule

GARCIA_PEREZ: dict[int, tuple[float, float]] = {
    1: (0.2845, 0.7785),
    2: (0.5488, 0.8035),
    3: (0.7393, 0.8315),
    4: (0.8415, 0.8584),
}
"""Answers down in a row: (step down over step up, proportion right it converges on), with fixed steps."""


def levitt_target(n_down: int) -> float:
    """Return the proportion of right answers an n-down-1-up rule aims at: ``0.5 ** (1 / n)``."""
    return float(0.5 ** (1 / n_down))


def kaernbach_ratio(p: float) -> float:
    """Return step up over step down of a weighted 1-down-1-up rule that aims at proportion ``p``."""
    return p / (1 - p)


def weighted(p: float, step_down: float) -> UpDownRule:
    """Make Kaernbach's weighted rule for proportion ``p``."""
    return UpDownRule(step_down, step_down * kaernbach_ratio(p))


def unequal(n_down: int, step_up: float) -> UpDownRule:
    """Make an n-down-1-up rule with García-Pérez's steps, whose convergence does not depend on their size."""
    return UpDownRule(step_up * GARCIA_PEREZ[n_down][0], step_up, n_down)


def mean_of_reversals(track: Track, skip: int = 2) -> float:
    """Return the mean level at the reversals after the first ``skip``, an even number of them; ``nan`` if none."""
    kept = track.reversals[skip:]
    if len(kept) % 2:
        kept = kept[1:]
    return sum(kept) / len(kept) if kept else math.nan
