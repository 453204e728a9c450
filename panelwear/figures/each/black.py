"""Black luminance, or the bound it lies under."""

from __future__ import annotations

from panelwear.figures.evidence import Evidence, Told
from panelwear.figures.own_light import own_light
from panelwear.figures.pick import black
from panelwear.uncertainty.estimate import Estimate

ORDER = 20


def figures(evidence: Evidence) -> list[Estimate]:
    """Return ``black`` in cd/m²: without room light and probe floor where those were read; else "< bound"."""
    mean = black(evidence)
    return [] if mean is None else [own_light(evidence, mean, Told("black", "cd/m²", "black")).estimate]
