"""Zones against their reference: contrast on the outline, over the hours, and by channel and level."""

from __future__ import annotations

import math

from panelwear.compare.quadruples import zone_steps
from panelwear.estimate import Estimate
from panelwear.report.content import Area, Axis, LineChart, MapChart, Picture, Section, Table, number, text
from panelwear.report.inputs import Inputs
from panelwear.report.sections.common import AT_95, ZONE_STYLES, cuts, ends_alt, steps, table_of
from panelwear.report.sections.evenness import nice_limit
from panelwear.report.sections.light import HOURS
from panelwear.report.words import NONE, signed, told
from sequences.model import Zone

SIGN = "Above 0 the zone is brighter than its reference: it has aged less. Below 0 it has aged more."


def section(inputs: Inputs) -> Section | None:
    """Return the section, or nothing when the panel has no zones."""
    if not inputs.panel.zones:
        return None
    found = _found(inputs)
    pictures = [_map(inputs, found), *_over_hours(inputs)]
    since = inputs.last.since is not None
    lead = (
        SIGN,
        "Zone and reference are read in turns within minutes, so neither drift nor the probe's stability is in it."
        if since
        else "There is one checkpoint: what the panel had from the factory is still in these contrasts.",
    )
    return Section("zones", "Zones", lead, pictures=tuple(pictures), tables=tuple(_by_colour(inputs)))


def _found(inputs: Inputs) -> dict[str, Estimate]:
    """Return each zone's change since the baseline (mean over the greys), or its contrast when there is none."""
    if inputs.last.since is not None:
        rows = inputs.last.since.rows
        return {n.removeprefix("zone/"): r.change.step for n, r in rows.items() if n.startswith("zone/")}
    contrasts: dict[str, Estimate] = {}
    for name, estimate in inputs.last.figures.items():
        _, _, rest = name.partition("zone/")
        if name.startswith("zone/") and name.endswith(".contrast") and "/grey/" in name:
            contrasts.setdefault(rest.partition("/")[0], estimate)
    return contrasts


def _map(inputs: Inputs, found: dict[str, Estimate]) -> Picture:
    panel = inputs.panel
    across, down = panel.pitch_mm
    references = {z.reference for z in panel.zones if z.reference}
    areas, rows = [], []
    for zone in panel.zones:
        estimate = found.get(zone.name)
        words = signed(estimate) if estimate is not None else _why(zone, references)
        value = estimate.value if estimate is not None else math.nan
        r = zone.rect
        areas.append(Area(zone.name, r.x * across, r.y * down, r.w * across, r.h * down, value, words))
        size = f"{r.w * across:.0f} mm × {r.h * down:.0f} mm"
        rows.append((zone.name, size, zone.reference or NONE, words))
    limit = nice_limit(max((abs(e.value) for e in found.values() if math.isfinite(e.value)), default=1.0))
    title = (
        f"Contrast of the zones, change from {inputs.first.said} to {inputs.last.said}"
        if inputs.last.since is not None
        else f"Contrast of the zones at {inputs.last.said}"
    )
    columns = (text("Zone"), number("Size"), text("Reference"), number("Contrast ± 95 %"))
    alt = f"{title}, on the panel's outline: " + "; ".join(f"{row[0]} {row[3]}" for row in rows) + "."
    chart = MapChart(*panel.active_area_mm, "luminance against the reference (%)", limit, areas=tuple(areas))
    note = "Greys, as seen from the front. Dashed: not read, or the reference itself."
    return Picture("zones", title, alt, chart, Table(title, columns, tuple(rows)), note)


def _why(zone: Zone, references: set[str]) -> str:
    if zone.name in references:
        return "is the reference"
    return "not read" if zone.reference else "has no reference"


def _over_hours(inputs: Inputs) -> list[Picture]:
    if len(inputs.inspected) < 2:
        return []
    names = [z.name for z in inputs.panel.zones]
    series = []
    for name in names:
        one = steps(inputs, f"zone/{name}", name, ZONE_STYLES[len(series) % len(ZONE_STYLES)])
        if len(one.points) > 1:
            series.append(one)
    if not series:
        return []
    title = "Contrast of the zones since the baseline"
    axis = Axis("against the reference (%)")
    chart = LineChart(HOURS, axis, tuple(series), 0.0, True, cuts(inputs), True)
    alt = ends_alt(chart, f"{title}, against hours of use", "h")
    return [Picture("zone-hours", title, alt, chart, table_of(title, chart, head="Hours of use"), f"Greys. {AT_95}")]


def _by_colour(inputs: Inputs) -> list[Table]:
    since = inputs.last.since
    if since is None:
        rows = tuple(
            (e.caption, told(e))
            for n, e in inputs.last.figures.items()
            if n.startswith("zone/") and n.endswith(".contrast")
        )
        return [Table("Zones by channel and level", (text("Zone"), number("Contrast ± 95 %")), rows)] if rows else []
    listed = []
    for zone, found in zone_steps(since.pairing, since.how.common).items():
        order = sorted(range(len(found.colours)), key=lambda i: (_rank(found.colours[i][0]), found.reference_cd_m2[i]))
        for i in order:
            change = found.change(i)
            hue, level = found.colours[i]
            level_said = f"{found.reference_cd_m2[i]:.3g} cd/m² ({level})"
            listed.append((zone, hue, level_said, told(change.before), told(change.after), signed(change.step)))
    columns = (text("Zone"), text("Channel"), number("Level of the reference"), number(f"Contrast at {inputs.first.said}"),
               number(f"Contrast at {inputs.last.said}"), number("Change"))  # fmt: skip
    note = "± at 95 %. Change: ratio of ratios, what the panel had at the baseline taken out."
    return [Table("Zones by channel and level", columns, tuple(listed), note)] if listed else []


def _rank(hue: str) -> int:
    order = ("grey", "red", "green", "blue")
    return order.index(hue) if hue in order else len(order)
