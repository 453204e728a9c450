"""Black luminance, or the bound it lies under."""

from __future__ import annotations

from panelwear.estimate import Estimate
from panelwear.figures.own_light import own_light
from panelwear.figures.pick import black
from panelwear.figures.session import Session, Told

ORDER = 20


def figures(session: Session) -> list[Estimate]:
    """Return ``black`` in cd/m²: without room light and probe floor where those were read; else "< bound"."""
    mean = black(session)
    return [] if mean is None else [own_light(session, mean, Told("black", "cd/m²", "black")).estimate]
