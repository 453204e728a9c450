"""Zones of ``panel.toml`` that no checkpoint has read: readings tell nothing of them, and that is said."""

from __future__ import annotations

from collections.abc import Sequence

from panelwear.figures.evidence import Evidence
from panelwear.telling.words import enumerated
from sequences.model import PanelFacts


def unread_zones(checkpoints: Sequence[Evidence], facts: PanelFacts | None) -> str:
    """Say which zones no reading was made at, in one sentence; empty where each was read, or none is drawn.

    Args:
        checkpoints: all with readings.
        facts: of the panel; without them its zones are not known.
    """
    there = {place for one in checkpoints for place in one.raw.place.there()}
    zones = () if facts is None else facts.zones
    # A reference may be read at strips that go by the zone's name alone.
    there |= {zone.reference for zone in zones if zone.name in there}
    never = [zone.name for zone in zones if zone.name not in there]
    if not never:
        return ""
    is_drawn, it, its = ("is drawn", "it", "its") if len(never) == 1 else ("are drawn", "them", "their")
    return (
        f"{enumerated(never)} {is_drawn} in panel.toml and no checkpoint has read {it}, so readings tell nothing of"
        f" {it}: 'panelwear inspect' with --sequence zones, which reads narrow zones too, begins {its} history."
    )
