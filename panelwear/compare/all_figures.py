"""Every figure both checkpoints have, one change each: values with intervals, and no verdicts.

Among some two hundred 95 % intervals about ten miss the truth by chance, so nothing here is called changed; the
verdicts stand in the change table.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from panelwear.compare.changes import COMMON, Change, between
from panelwear.compare.pairing import Pairing
from panelwear.figures.checkpoint import figures_of
from panelwear.figures.evidence import Evidence
from panelwear.figures.pick import black

RATIOS = ("contrast/", "additivity")
"""Figures without unit that are ratios themselves; their change is a ratio too."""
ELSEWHERE = ("zone/", "stability")
"""Figures with a table of their own, and those that tell of the session, not of the panel."""
TINTS = (".du_prime", ".dv_prime")
"""Zones' colour against their references has no other table."""
EXPONENT = 2.2
"""Of the response, near enough for the small step from a patch to its target (common practice, no source)."""


def every_change(pairing: Pairing, common: frozenset[str] = COMMON) -> tuple[Change, ...]:
    """Return the change of every figure both checkpoints have; bounds do not subtract and are left out."""
    then, now = figures_of(pairing.before), figures_of(pairing.after)
    found = []
    for name, after in now.items():
        before = then.get(name)
        told = before is not None and not before.limit and not after.limit
        elsewhere = name.startswith(ELSEWHERE) and not name.endswith(TINTS)
        if before is None or not told or elsewhere or _fixed_luminance(name):
            continue
        ratio = after.unit == "cd/m²" or name.startswith(RATIOS)
        change = between(before, after, "ratio" if ratio else "difference", common)
        if math.isfinite(change.step.value):
            found.append(change)
    return tuple(found)


def _fixed_luminance(name: str) -> bool:
    """Tell whether a figure is the luminance of a patch whose luminance was fixed: it tells the resolver, not wear."""
    parts = name.split("/")
    return name.endswith(".Y") and len(parts) > 1 and not parts[1].startswith("c")


@dataclass(frozen=True, slots=True)
class CodeNeeded:
    """The drive level a wanted luminance took, then and now."""

    key: str
    target_cd_m2: float
    before: float
    after: float
    u: float
    """Standard uncertainty of after less before, the probe's session scale included."""


def codes_needed(pairing: Pairing) -> tuple[CodeNeeded, ...]:
    """Return what the wanted luminances took in drive level, each brought to its target.

    A patch is shown at the nearest step of the drive, so its luminance misses the target a little; its code is moved by
    the difference over the slope of the response there (exponent 2.2 of the light above black).
    """
    targets = _targets(pairing.after)
    sides = [[m for m in s.means if m.key in targets] for s in (pairing.before, pairing.after)]
    now = {m.key: m for m in sides[1]}
    found = []
    for mean in sides[0]:
        after = now.get(mean.key)
        target = targets[mean.key]
        if after is None or mean.Y <= 0 or after.Y <= 0 or pairing.before.is_dark(mean):
            continue
        both, exponents = [], []
        for evidence, m in ((pairing.before, mean), (pairing.after, after)):
            dark = black(evidence)
            net = max(dark.Y, 0.0) if dark is not None else 0.0
            exponents.append(max(EXPONENT * (m.Y - net) / m.Y, 0.1))
            both.append(m.code * (target / m.Y) ** (1 / exponents[-1]))
        shares = [math.hypot(m.u_Y / m.Y, s.meter.session_scale, s.placement.u)
                  for s, m in ((pairing.before, mean), (pairing.after, after))]  # fmt: skip
        u = math.hypot(*(c * share / e for c, share, e in zip(both, shares, exponents, strict=True)))
        found.append(CodeNeeded(mean.key, target, both[0], both[1], u))
    return tuple(found)


def _targets(evidence: Evidence) -> dict[str, float]:
    table = evidence.table
    wanted = (table.level_basis != "code") & (table.target_cd_m2 > 0)
    patch, target = table.patch[wanted], table.target_cd_m2[wanted]
    return {patch[rows[0]]: float(target[rows[-1]]) for rows in patch.groups()}
