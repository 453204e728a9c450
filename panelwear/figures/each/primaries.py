"""Luminance and chromaticity of red, green and blue (and of their mixes, where read)."""

from __future__ import annotations

from panelwear.figures.evidence import Evidence, Told
from panelwear.figures.formulas import chromaticity, luminance
from panelwear.figures.pick import primary
from panelwear.uncertainty.estimate import Estimate

ORDER = 70

PARTS = (("x", "x"), ("y", "y"), ("u_prime", "u'"), ("v_prime", "v'"))


def figures(evidence: Evidence) -> list[Estimate]:
    """Return ``<hue>.Y`` in cd/m² and ``<hue>.x .y .u_prime .v_prime``."""
    found: list[Estimate] = []
    for hue in ("red", "green", "blue", "cyan", "magenta", "yellow"):
        mean = primary(evidence, hue)
        if mean is None:
            continue
        found.append(evidence.estimate(Told(f"{hue}.Y", "cd/m²", f"{hue}, luminance"), [mean], luminance))
        if mean.has_colour and not evidence.is_dark(mean):
            told = [Told(f"{hue}.{part}", "1", f"{hue}, {said}") for part, said in PARTS]
            found += evidence.estimates(told, [mean], chromaticity)
    return found
