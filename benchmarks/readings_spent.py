"""Readings the two-stage plan spends beside a plan with one fixed number a patch of equal worst-case precision.

Run: python benchmarks/readings_spent.py [SEQUENCE]. Simulated readings only: a probe of 0.15 % and 0.003 cd/m²
(the default one), one of twice the scatter, one that is poor in the dark, one that is poor in the light.

Precision of a patch: the standard deviation of its mean over many simulated runs, as a share of what the sequence
wants there (a share of the light, not below the floor in cd/m²). The fixed plan is the smallest number of readings,
the same for every patch, whose worst patch is no worse than the worst patch of the two-stage plan; it is given the
probe's true scatter, which nobody knows beforehand. A quiet probe is limited by the first stage in both plans.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Sequence

import numpy as np

from panelwear.panel.noise import NoiseModel
from panelwear.panel.reads import first_stage, total_readings, wanted_u
from sequences import expand, reader
from sequences.model import PanelFacts, Patch, Read
from sequences.nominal import luminance_cd_m2

RUNS = 1000
PANEL = PanelFacts(2560, 1440, (597.0, 336.0))
PROBES = {
    "0.15 %, 0.003 cd/m²": NoiseModel(0.003, 0.0, 0.0015, dof=80),
    "0.30 %, 0.006 cd/m²": NoiseModel(0.006, 0.0, 0.0030, dof=80),
    "0.15 %, 0.010 cd/m²": NoiseModel(0.010, 0.0, 0.0015, dof=80),
    "0.60 %, 0.003 cd/m²": NoiseModel(0.003, 0.0, 0.0060, dof=80),
}


def patches_of(name: str) -> list[tuple[Patch, float]]:
    """Patches of a shipped sequence that state a wanted uncertainty, with their nominal luminance."""
    source = reader.find(name)
    steps, _ = expand.expand_noted(reader.parse(source.read_bytes(), source.name), PANEL, 1)
    patches = [step.patch for step in steps if isinstance(step, Read) and step.patch.reads.until is not None]
    return [(p, luminance_cd_m2(p.level, p.hue, PANEL)) for p in patches]


def two_stage(patch: Patch, Y: float, noise: NoiseModel, rng: np.random.Generator) -> tuple[float, float]:
    """Mean number of readings, and precision reached as a share of the wanted one."""
    counts, means = [], []
    for _ in range(RUNS):
        first = rng.normal(Y, noise.sd(Y), first_stage(patch.reads, noise))
        n = total_readings(list(first), patch.reads, noise)
        rest = rng.normal(Y, noise.sd(Y), n - len(first))
        counts.append(n)
        means.append(np.concatenate([first, rest]).mean())
    return float(np.mean(counts)), float(np.std(means)) / wanted_u(Y, patch.reads)


def fixed_count(patches: Sequence[tuple[Patch, float]], noise: NoiseModel, worst: float) -> int:
    """Smallest number of readings a patch that keeps the worst patch as precise."""
    return max(math.ceil((noise.sd(Y) / (worst * wanted_u(Y, p.reads))) ** 2) for p, Y in patches)


def main() -> None:
    name = sys.argv[1] if len(sys.argv) > 1 else "checkpoint"
    patches = patches_of(name)
    print(f"{name}: {len(patches)} patches that state a wanted uncertainty")
    print(f"{'probe':<22}{'two-stage':>10}{'fixed':>8}{'a patch':>9}{'share':>8}{'worst u / wanted':>18}")
    for told, noise in PROBES.items():
        rng = np.random.default_rng(1)
        known: dict[tuple[float, object], tuple[float, float]] = {}
        for patch, Y in patches:
            if (Y, patch.reads) not in known:
                known[Y, patch.reads] = two_stage(patch, Y, noise, rng)
        found = [known[Y, patch.reads] for patch, Y in patches]
        spent, worst = sum(n for n, _ in found), max(u for _, u in found)
        n = fixed_count(patches, noise, worst)
        print(f"{told:<22}{spent:>10.0f}{n * len(patches):>8}{n:>9}{spent / (n * len(patches)):>8.0%}{worst:>18.2f}")


if __name__ == "__main__":
    main()
