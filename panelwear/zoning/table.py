"""The zones as a table for a terminal."""

from __future__ import annotations

from collections.abc import Sequence

from panelwear.telling.parts import EMPTY, Column, Part, Prose, grid, paragraphs
from panelwear.zoning.fits import Probe, fit_of
from panelwear.zoning.plan import over_and_under, plan_of
from sequences.model import Zone

COLUMNS = (
    Column("zone"),
    Column("from", "px", breaks=False),
    Column("size", "px", breaks=False),
    Column("probe"),
    Column("compared with"),
    Column("lies over"),
    Column("size", "mm", optional=True, breaks=False),
    Column("probe at", "px", optional=True, breaks=False),
)


def table_of(panel_name: str, zones: Sequence[Zone], probe: Probe) -> list[Part]:
    """Lay the zones out, one a row, and say below what to do where the probe does not fit."""
    if not zones:
        return [Prose(f"{panel_name} has no zones yet; 'panelwear zones DIR' draws them on the panel")]
    plan = plan_of(zones)
    fits = [fit_of(zone, plan, probe) for zone in plan.zones]
    rows = []
    for drawn, zone, fit in zip(plan.zones, zones, fits, strict=True):
        rect, (w, h), (x, y) = drawn.rect, probe.mm(drawn.rect), drawn.probe_at_px
        over = ", ".join(over_and_under(plan, drawn)[0]) or "-"
        rows.append(
            (zone.name, f"{rect.x}, {rect.y}", f"{rect.w} x {rect.h}", fit.word, zone.reference or "-", over,
             f"{w:.1f} x {h:.1f}", f"{x:g}, {y:g}")
        )  # fmt: skip
    said = [f"{zone.name}: {fit.sentence}" for zone, fit in zip(zones, fits, strict=True) if not fit.is_good]
    return [grid(COLUMNS, rows, otherwise="in panel.toml"), EMPTY, Prose(f"aperture: {probe.told}"), *paragraphs(*said)]
