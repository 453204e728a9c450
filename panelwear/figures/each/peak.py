"""Peak luminance: white at full drive, by window, and the highest of them."""

from __future__ import annotations

from dataclasses import replace

from panelwear.figures.evidence import Evidence, Told
from panelwear.figures.formulas import luminance
from panelwear.figures.pick import at_full_drive, share_of, words
from panelwear.uncertainty.estimate import Estimate

ORDER = 10


def figures(evidence: Evidence) -> list[Estimate]:
    """Return ``peak`` and ``peak/<geometry>`` in cd/m²."""
    found = []
    for mean in sorted(at_full_drive(evidence), key=share_of):
        told = Told(f"peak/{mean.geometry}", "cd/m²", f"peak luminance, {words(mean)}")
        found.append(evidence.estimate(told, [mean], luminance))
    if not found:
        return []
    highest = max(found, key=lambda e: e.value)
    window = highest.caption.partition(", ")[2]
    note = "; ".join(part for part in (f"at the {window}", highest.note) if part)
    return [replace(highest, name="peak", caption="peak luminance", note=note), *found]
