"""Zones that lay elsewhere at the other checkpoint: their readings are of other pixels and are not compared."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from panelwear.figures.evidence import Evidence
from panelwear.folder.zone_places import ZonePlace


def moved_zones(before: Evidence, after: Evidence) -> dict[str, str]:
    """Say of each zone that was moved, and that both checkpoints read, from where to where and what to do.

    A zone of which a record does not tell where it lay counts as never moved.
    """
    read = _read_at(before) & _read_at(after)
    then, now = before.record.zone_places, after.record.zone_places
    found: dict[str, str] = {}
    for name, places in now.items():
        there = then.get(name, ())
        if name in read and there and len({*there, *places}) > 1:
            found[name] = _sentence(name, before.name, after.name, there, places)
    return found


def _read_at(evidence: Evidence) -> frozenset[str]:
    return frozenset(np.unique(np.asarray(evidence.table.place)).tolist())


def _sentence(name: str, earlier: str, later: str, there: tuple[ZonePlace, ...], places: tuple[ZonePlace, ...]) -> str:
    return (
        f"'{name}' was moved from {_said(there)} at {earlier} to {_said(places)} at {later}: these are other pixels, "
        "so its change is not told; move it back with 'panelwear zones', or give it another name there to begin a new "
        "history."
    )


def _said(places: Iterable[ZonePlace]) -> str:
    return ", then ".join(place.said for place in places)
