"""Grey tracking: how the colour of the greys follows white down the ramp."""

from __future__ import annotations

from dataclasses import replace

from panelwear.figures.colour_distance import bound, length
from panelwear.figures.evidence import Evidence, Told
from panelwear.figures.formulas import from_neutral, from_white
from panelwear.figures.means import Mean
from panelwear.figures.pick import level_words, ramp, wanted_levels, white
from panelwear.uncertainty.coverage import expanded
from panelwear.uncertainty.estimate import Estimate

ORDER = 60

STEP = (("du_prime", "Δu' from white"), ("dv_prime", "Δv' from white"))
TINT = (("de2000", "ΔE2000 from neutral"), ("de_itp", "ΔE ITP from neutral"))


def figures(evidence: Evidence) -> list[Estimate]:
    """Return ``grey/<level>.<part>`` for each level of the ramp and ``grey.duv_prime_max``, the worst of them.

    Parts: ``du_prime dv_prime duv_prime de2000 de_itp``. A distance is never negative, so noise alone pushes it up:
    the components Δu' and Δv' are what a change is judged by, and a distance that is not significant is a bound.
    """
    bright = white(evidence)
    if bright is None or not bright.has_colour:
        return []
    found: list[Estimate] = []
    for mean in ramp(evidence) + wanted_levels(evidence):
        if mean.has_colour and not evidence.is_dark(mean) and mean.key != bright.key:
            found += _of(evidence, mean, bright)
    # The worst of many noisy distances is noise; only those clear of zero by themselves are asked.
    distances = [e for e in found if e.name.endswith(".duv_prime") and not e.limit and e.value > expanded(e)]
    if not distances:
        return found
    worst = max(distances, key=lambda e: e.value)
    at = worst.name.partition("/")[2].removesuffix(".duv_prime")
    return [replace(worst, name="grey.duv_prime_max", caption="largest Δu'v' of a grey", note=f"at {at}"), *found]


def _of(evidence: Evidence, mean: Mean, bright: Mean) -> list[Estimate]:
    both = [mean, bright]

    def told(part: str, said: str) -> Told:
        return Told(f"grey/{mean.level}.{part}", "1", f"grey at {level_words(mean.level)}, {said}")

    steps = evidence.estimates([told(*part) for part in STEP], both, from_white)
    away = length(evidence, told("duv_prime", "Δu'v' from white"), both, from_white)
    tints = evidence.estimates([told(*part) for part in TINT], both, from_neutral)
    if away.limit:
        # Tint is the same step through another space: what is not significant there cannot be told here.
        wider = max(e.u for e in steps) / away.u if away.u > 0 else 1.0
        tints = [bound(e, e.u * wider) for e in tints]
    return [*steps, away, *tints]
