"""Grey tracking: how the colour of the greys follows white down the ramp."""

from __future__ import annotations

from dataclasses import replace

from panelwear.estimate import Estimate
from panelwear.figures.formulas import tracking
from panelwear.figures.pick import ramp, wanted_levels, white
from panelwear.figures.session import Session, Told

ORDER = 60

PARTS = (
    ("du_prime", "Δu' from white"),
    ("dv_prime", "Δv' from white"),
    ("duv_prime", "Δu'v' from white"),
    ("de2000", "ΔE2000 from neutral"),
    ("de_itp", "ΔE ITP from neutral"),
)


def figures(session: Session) -> list[Estimate]:
    """Return ``grey/<level>.<part>`` for each level of the ramp and ``grey.duv_prime_max``, the worst of them.

    A distance is never negative, so noise alone pushes it up: the components Δu' and Δv' are what a change is
    judged by.
    """
    bright = white(session)
    if bright is None or not bright.has_colour:
        return []
    found: list[Estimate] = []
    for mean in ramp(session) + wanted_levels(session):
        if mean.has_colour and not session.is_dark(mean) and mean.key != bright.key:
            told = [Told(f"grey/{mean.level}.{part}", "1", f"grey {mean.level}, {said}") for part, said in PARTS]
            found += session.estimates(told, [mean, bright], tracking)
    distances = [e for e in found if e.name.endswith(".duv_prime") and e.value == e.value]
    if not distances:
        return found
    worst = max(distances, key=lambda e: e.value)
    at = worst.name.partition("/")[2].partition(".")[0]
    return [replace(worst, name="grey.duv_prime_max", caption="largest Δu'v' of a grey", note=f"at {at}"), *found]
