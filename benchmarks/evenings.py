"""How often a probe whose filters wander between evenings makes an unchanged panel look changed.

The same pairs of checkpoints are judged three times: as if filters stood still, with what is assumed of them, and with
what some evenings of a stable light told of this probe.

    python -m benchmarks.evenings                  200 pairs, 0.2 %, five evenings
"""

from __future__ import annotations

import argparse
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from functools import partial

import numpy as np

from benchmarks.attacks import drawn_state, evidence, outcome
from benchmarks.comparison_power import binomial_interval, meter_of
from benchmarks.support.attacks import Attack, gains
from panelwear.figures.evenings import stability_of
from panelwear.readings.stability import StabilityReading
from panelwear.simulation.probe import DEFAULT_PROBE
from panelwear.uncertainty.meter import DEFAULTS, MeterTerms

STATES = ("filters taken to stand still", "filters assumed", "evenings measured")
READINGS = 20
ASSUMED = replace(meter_of(DEFAULT_PROBE), session_filters=DEFAULTS.session_filters)


def measured(share: float, evenings: int, seed: int) -> MeterTerms:
    """Return the terms that some evenings of a lamp tell of the probe."""
    rng = np.random.default_rng((seed, 41))
    rows, probe = [], DEFAULT_PROBE
    for evening in range(1, evenings + 1):
        x, y = 0.3127 + probe.session_xy * rng.standard_normal(), 0.3290 + probe.session_xy * rng.standard_normal()
        gain = (1 + probe.session_scale * rng.standard_normal()) * (1 + share * rng.standard_normal(3))
        for repeat in range(1, READINGS + 1):
            X, Y, Z = np.array([x / y, 1.0, (1 - x - y) / y]) * 100 * gain * (1 + 0.0015 * rng.standard_normal())
            rows.append(StabilityReading(len(rows) + 1, evening, "", "lamp", "P", repeat, X, Y, Z, 0.5, "ok"))
    found, terms = stability_of(rows), ASSUMED
    for name in ("session_scale", "session_xy", "session_filters"):
        value = None if found is None else found.value(name)
        if value is not None:
            terms = replace(terms, **{name: value, f"{name}_dof": float(evenings - 1)})
    return terms


def judged(seed: int, share: float, evenings: int) -> list[set[str]]:
    """Compare one unchanged panel in each of the three ways; returns the figures called changed."""
    read = [evidence(Attack("gains", gains(share)), drawn_state(seed), seed, number) for number in (0, 1)]
    found = []
    for terms in (meter_of(DEFAULT_PROBE), ASSUMED, measured(share, evenings, seed)):
        before, after = (replace(one, meter=terms) for one in read)
        found.append({*outcome(before, after).changed})
    return found


def main() -> None:
    """Print a line a state."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--pairs", type=int, default=200)
    parser.add_argument(
        "--share", type=float, default=0.002, help="wander of each of the gains of X, Y and Z between evenings (0.002)"
    )
    parser.add_argument("--evenings", type=int, default=5)
    parser.add_argument("--jobs", type=int, default=2)
    asked = parser.parse_args()
    with ProcessPoolExecutor(asked.jobs) as pool:
        work = partial(judged, share=asked.share, evenings=asked.evenings)
        pairs = list(pool.map(work, range(1, asked.pairs + 1)))
    for state, name in enumerate(STATES):
        wrong = sum(bool(found[state]) for found in pairs)
        names = Counter(figure for found in pairs for figure in found[state])
        low, high = binomial_interval(wrong, asked.pairs)
        told = ", ".join(f"{figure} {count}" for figure, count in names.most_common(4))
        print(f"{name:<32}{wrong:>5} of {asked.pairs} ({low:.1%} to {high:.1%})   {told}")


if __name__ == "__main__":
    main()
