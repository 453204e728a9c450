"""Black luminance, or the bound it lies under."""

from __future__ import annotations

from dataclasses import replace

from panelwear.estimate import Estimate
from panelwear.figures.formulas import luminance
from panelwear.figures.pick import black
from panelwear.figures.session import Session, Told

ORDER = 20


def figures(session: Session) -> list[Estimate]:
    """Return ``black`` in cd/m²; a black under the probe's floor is "< floor"."""
    mean = black(session)
    if mean is None:
        return []
    found = session.estimate(Told("black", "cd/m²", "black"), [mean], luminance)
    if not session.is_dark(mean):
        return [found]
    note = f"read {found.value:.4f} cd/m², below the probe's floor"
    return [replace(found, value=session.floor_for(mean), limit="<", note=note)]
