"""The zones as a table for a terminal."""

from __future__ import annotations

from collections.abc import Sequence

from panelwear.zoning.fits import Probe, fit_of
from panelwear.zoning.plan import Drawn, over_and_under, plan_of
from sequences.model import Zone

HEAD = ("zone", "from px", "size px", "size mm", "probe at px", "compared with", "lies over", "probe")


def table_of(panel_name: str, zones: Sequence[Zone], probe: Probe) -> list[str]:
    """Lay the zones out, one a line, and say below what to do where the probe does not fit."""
    if not zones:
        return [f"{panel_name} has no zones yet; 'panelwear zones DIR' draws them on the panel"]
    plan = plan_of(zones)
    fits = [fit_of(zone, plan, probe) for zone in plan.zones]
    rows = [HEAD]
    for drawn, zone, fit in zip(plan.zones, zones, fits, strict=True):
        rows.append((*_cells(drawn, zone, probe), ", ".join(over_and_under(plan, drawn)[0]) or "-", fit.word))
    wide = [max(len(row[column]) for row in rows) for column in range(len(HEAD))]
    lines = ["  ".join(f"{cell:<{width}}" for cell, width in zip(row, wide, strict=True)).rstrip() for row in rows]
    said = [f"{zone.name}: {fit.sentence}" for zone, fit in zip(zones, fits, strict=True) if not fit.is_good]
    return [*lines, "", f"aperture: {probe.told}", *said]


def _cells(drawn: Drawn, zone: Zone, probe: Probe) -> tuple[str, str, str, str, str, str]:
    rect, (w, h), (x, y) = drawn.rect, probe.mm(drawn.rect), drawn.probe_at_px
    size_mm = f"{w:.1f} x {h:.1f}"
    return (
        zone.name,
        f"{rect.x}, {rect.y}",
        f"{rect.w} x {rect.h}",
        size_mm,
        f"{x:g}, {y:g}",
        zone.reference or "-",
    )
