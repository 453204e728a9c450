"""Loss for every 1000 h of use."""

from __future__ import annotations

import math

from panelwear.uncertainty.estimate import Component, Estimate, combine


def loss_of(kept: Estimate, hue: str, hours: float, hours_u: float, no_rate: str) -> Estimate:
    """Return the loss for every 1000 h; a range of hours is one of its uncertainties."""
    per = 1000 / hours if hours > 0 else math.nan
    name, caption, unit, value = f"{hue}.loss", f"{hue}, loss", "% per 1000 h", -kept.value * per
    if not (hours_u > 0 and math.isfinite(value)):
        return Estimate(name, value, unit, kept.u * per, kept.dof, note=no_rate, caption=caption)
    parts = (
        Component("luminance kept", kept.u * per, kept.dof),
        Component("hours of use, estimated within a range", abs(value) * hours_u / hours, kind="B"),
    )
    return combine(name, value, unit, parts, note=no_rate, caption=caption)
