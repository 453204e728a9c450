"""Zones against their reference: contrast on the outline, over the hours, and by channel and level."""

from __future__ import annotations

import math

from panelwear.compare.formatting import verdict
from panelwear.compare.zones import ZoneFinding
from panelwear.report.content import Area, Axis, LineChart, MapChart, Picture, ReportTable, Section, number, text
from panelwear.report.formatting import signed, told
from panelwear.report.inputs import Inputs
from panelwear.report.sections.common import AT_95, ZONE_STYLES, cuts, ends_alt, over_hours, table_of
from panelwear.report.sections.evenness import nice_limit
from panelwear.report.sections.light import HOURS
from panelwear.uncertainty.estimate import Estimate
from panelwear.uncertainty.formatting import NONE
from sequences.model import Zone

SIGN = "Above 0 the zone is brighter than its reference: it has aged less. Below 0 it has aged more."


def section(inputs: Inputs) -> Section | None:
    """Return the section, or nothing when no zone of the panel was read."""
    findings = _findings(inputs)
    if not inputs.panel.zones or not findings:
        return None
    found = {one.zone: _shown(one) for one in findings}
    pictures = [_map(inputs, found), *_over_hours(inputs)]
    since = inputs.last.since is not None
    lead = (
        SIGN,
        "Zone and reference are read in turns within minutes, so neither drift nor the probe's stability is in it."
        if since
        else "There is one checkpoint: what the panel had from the factory is still in these contrasts.",
    )
    when = inputs.comparison.zone_forecasts() if inputs.comparison is not None and inputs.pairs else ()
    points = tuple(" ".join(f"{s.rstrip('.')}." for s in one.sentences) for one in findings)
    points += tuple(one.sentence for one in when if one.said not in {"refused", "visible"})
    return Section("zones", "Zones", lead, pictures=tuple(pictures), tables=tuple(_by_colour(inputs)), points=points)


def _findings(inputs: Inputs) -> tuple[ZoneFinding, ...]:
    if inputs.pairs:
        return inputs.pairs[0].zones
    return inputs.comparison.zones_alone if inputs.comparison is not None else ()


def _shown(finding: ZoneFinding) -> Estimate:
    """Return a zone's change since the baseline, or its contrast when there is none."""
    return finding.change.step if finding.change is not None else finding.now


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
    return Picture("zones", title, alt, chart, ReportTable(title, columns, tuple(rows)), note)


def _why(zone: Zone, references: set[str]) -> str:
    if zone.name in references:
        return "is the reference"
    return "not read" if zone.reference else "has no reference"


def _over_hours(inputs: Inputs) -> list[Picture]:
    """Draw the zones over the hours, at most as many in one picture as there are styles to tell them apart."""
    read = [z.name for z in inputs.panel.zones if inputs.trend(f"zone/{z.name}") is not None]
    size = len(ZONE_STYLES)
    return [_hours_picture(inputs, read[i : i + size], i // size) for i in range(0, len(read), size)]


def _hours_picture(inputs: Inputs, names: list[str], number: int) -> Picture:
    series = [over_hours(inputs, f"zone/{n}", n, style) for n, style in zip(names, ZONE_STYLES, strict=False)]
    title = "Contrast of the zones since the baseline" + (f", {number + 1}" if number else "")
    axis = Axis("against the reference (%)")
    chart = LineChart(HOURS, axis, tuple(series), 0.0, True, cuts(inputs), True)
    alt = ends_alt(chart, f"{title}, against hours of use", "h")
    key = f"zone-hours{number or ''}"
    return Picture(key, title, alt, chart, table_of(title, chart, head="Hours of use"), f"Greys. {AT_95}")


def _by_colour(inputs: Inputs) -> list[ReportTable]:
    if not inputs.pairs:
        contrasts = [n for n in inputs.last.figures if n.startswith("zone/") and n.endswith(".contrast")]
        parts = [n.removesuffix(".contrast").split("/")[1:] for n in contrasts]
        told_of = [(*p, told(inputs.last.figures[n])) for n, p in zip(contrasts, parts, strict=True)]
        rows = tuple(sorted(told_of, key=lambda r: (r[0], _rank(r[1]))))
        heads = (text("Zone"), text("Channel"), text("Level"), number("Contrast ± 95 %"))
        return [ReportTable("Zones by channel and level", heads, rows)] if rows else []
    listed = []
    for finding in inputs.pairs[0].zones:
        for one in sorted(finding.colours, key=lambda c: (_rank(c.hue), c.reference_cd_m2)):
            level = f"{one.reference_cd_m2:.3g} cd/m² ({one.level})"
            change = one.change
            words = (told(change.before), told(change.after), signed(change.step))
            listed.append((finding.zone, one.hue, level, *words, verdict(one.judged, change.step.unit)))
    ends = (number(f"Contrast at {inputs.first.said}"), number(f"Contrast at {inputs.last.said}"))
    columns = (text("Zone"), text("Channel"), number("Reference"), *ends, number("Change"), text("Verdict"))
    note = "± at 95 %. Change: ratio of ratios, what the panel had at the baseline taken out."
    return [ReportTable("Zones by channel and level", columns, tuple(listed), note)] if listed else []


def _rank(hue: str) -> int:
    order = ("grey", "red", "green", "blue")
    return order.index(hue) if hue in order else len(order)
