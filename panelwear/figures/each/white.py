"""White point: x, y, u', v', CCT with Duv, distance from D65; at full drive and at every stated level."""

from __future__ import annotations

from dataclasses import replace

from panelwear.figures.colour_distance import length
from panelwear.figures.evidence import Evidence, Told
from panelwear.figures.formulas import chromaticity, from_d65, luminance, temperature
from panelwear.figures.means import Mean
from panelwear.figures.pick import ramp, wanted_levels, white, whites, words
from panelwear.uncertainty.estimate import Estimate
from panelwear.uncertainty.propagate import COARSE_STEP

ORDER = 50

PARTS = (("x", "1"), ("y", "1"), ("u_prime", "1"), ("v_prime", "1"))
TEMPERATURE = (("cct", "K"), ("duv", "1"))
SAID = {"u_prime": "u'", "v_prime": "v'", "cct": "CCT", "duv": "Duv", "d65": "Δu'v' from D65", "Y": "luminance"}


def figures(evidence: Evidence) -> list[Estimate]:
    """Return ``white.<part>`` for white at full drive and ``white/<level>/<geometry>.<part>`` for all other levels.

    Other levels: patches with the purpose ``white``, and the ramp by wanted luminance (without one: by code).
    Parts: ``Y x y u_prime v_prime cct duv d65``.
    """
    main = white(evidence)
    found = _main(evidence, main) if main is not None else []
    others = whites(evidence) + (wanted_levels(evidence) or ramp(evidence))
    for mean in {m.key: m for m in others}.values():
        if (main is None or mean.key != main.key) and not evidence.is_dark(mean):
            asked = mean.level[1:] if mean.level.startswith("Y") else ""
            told = f"white, asked for {asked} cd/m²" if asked else f"white at {mean.Y:.4g} cd/m²"
            told += f", {words(mean)}"
            first, *others_of = _of(evidence, mean, f"white/{mean.level}/{mean.geometry}", told)
            found += [_with_basis(evidence, mean, first), *others_of]
    return found


def _with_basis(evidence: Evidence, mean: Mean, estimate: Estimate) -> Estimate:
    """Say of a luminance that was asked for when only an assumed response led to it."""
    table = evidence.table
    if not (table.level_basis[table.patch == mean.key] == "assumed-response").any():
        return estimate
    return replace(estimate, note="; ".join(p for p in ("by an assumed response", estimate.note) if p))


def _main(evidence: Evidence, mean: Mean) -> list[Estimate]:
    first, *others = _of(evidence, mean, "white", "white")
    note = "; ".join(part for part in (f"drive level {mean.code:g}, {words(mean)}", first.note) if part)
    return [replace(first, note=note), *others]


def _of(evidence: Evidence, mean: Mean, name: str, caption: str) -> list[Estimate]:
    found = [evidence.estimate(Told(f"{name}.Y", "cd/m²", f"{caption}, luminance"), [mean], luminance)]
    if not mean.has_colour or evidence.is_dark(mean):
        return found

    def told(part: str, unit: str) -> Told:
        return Told(f"{name}.{part}", unit, f"{caption}, {SAID.get(part, part)}")

    found += evidence.estimates([told(*part) for part in PARTS], [mean], chromaticity)
    found += evidence.estimates([told(*part) for part in TEMPERATURE], [mean], temperature, COARSE_STEP)
    return [*found, length(evidence, told("d65", "1"), [mean], from_d65)]
