"""An estimate: a value that knows how far it can be trusted, and why (JCGM 100)."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Component:
    """One line of an uncertainty table."""

    name: str
    """``repeatability``, ``placement``, ``drift``, ``resolution``, ``calibration scale`` …"""
    u: float
    """Standard uncertainty it gives to the value, in the value's unit."""
    dof: float = math.inf
    kind: str = "B"
    """``A`` from statistics of these readings, ``B`` from other knowledge."""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Estimate:
    """A figure of one checkpoint."""

    name: str
    """Stable key, such as ``white.u_prime`` or ``peak/w10``."""
    value: float
    """``nan`` when it could not be found; ``note`` says why."""
    unit: str
    """``cd/m²``, ``K``, ``1``, ``%`` …"""
    u: float
    """Combined standard uncertainty."""
    dof: float = math.inf
    """Effective degrees of freedom (Welch-Satterthwaite)."""
    components: tuple[Component, ...] = ()
    note: str = ""
    limit: str = ""
    """``<`` or ``>`` when the value is only a bound (black below the probe's floor, contrast above)."""
    caption: str = ""
    """What a person calls it, without unit: "peak luminance, 10 % window"."""


def combine(
    name: str,
    value: float,
    unit: str,
    components: tuple[Component, ...],
    *,
    note: str = "",
    caption: str = "",
) -> Estimate:
    """Make an estimate from uncorrelated components: root sum of squares, Welch-Satterthwaite (JCGM 100 G.4.1)."""
    u = math.sqrt(sum(c.u**2 for c in components))
    shares = sum(c.u**4 / c.dof for c in components if c.u > 0 and math.isfinite(c.dof))
    dof = u**4 / shares if shares > 0 else math.inf
    return Estimate(name, value, unit, u, dof, components, note, caption=caption)
