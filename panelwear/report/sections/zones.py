"""Zones against their reference: contrast on the outline, over the hours, and by channel and level."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from panelwear.compare.comparison import Comparison
from panelwear.compare.formatting import verdict
from panelwear.compare.trend import FigureHistory, TrendPoint
from panelwear.compare.zones import ZoneFinding
from panelwear.figures.pick import level_words
from panelwear.report.content import (
    Area,
    Axis,
    LineChart,
    MapChart,
    Picture,
    ReportTable,
    Section,
    StripChart,
    number,
    text,
)
from panelwear.report.formatting import minus, signed, told
from panelwear.report.inputs import Inputs, Inspected
from panelwear.report.sections.common import AT_95, ZONE_STYLES, cuts, ends_alt, over_hours, point_of, table_of
from panelwear.report.sections.evenness import nice_limit
from panelwear.report.sections.light import HOURS
from panelwear.telling.words import enumerated
from panelwear.uncertainty.estimate import Estimate
from panelwear.uncertainty.formatting import NONE
from sequences.model import Zone

UNIT = "luminance against the reference (%)"
MOST_DRAWN, IN_A_ROW, LEAST_IN_A_ROW = 12, 6, 4
"""Outlines in the strip, beside each other at most, and room kept for at least."""
ALREADY = "visible already; 'panelwear forecast' says when the next contrast is reached"
"""Why nothing is said of when a zone becomes visible."""
SIGN = "Above 0 the zone is brighter than its reference: it has aged less. Below 0 it has aged more."


def section(inputs: Inputs) -> Section | None:
    """Return the section, or nothing when no zone of the panel was read."""
    findings = _findings(inputs)
    if not inputs.panel.zones or not findings:
        return None
    pictures = _over_hours(inputs)
    since = inputs.last.since is not None
    lead = (
        SIGN,
        f"Changes are from {inputs.first.said} to {inputs.last.said}. Zone and reference are read in turns within "
        "minutes, so neither drift nor the probe's stability is in them."
        if since
        else "There is one checkpoint: what the panel had from the factory is still in these contrasts.",
    )
    points = tuple(" ".join(f"{s.rstrip('.')}." for s in one.sentences) for one in findings)
    points += tuple(_when_visible(inputs.comparison)) if inputs.comparison is not None and inputs.pairs else ()
    if inputs.comparison is not None and inputs.comparison.unread_zones:
        points += (inputs.comparison.unread_zones,)
    return Section("zones", "Zones", lead, pictures=tuple(pictures), folded=tuple(_by_colour(inputs)), points=points)


def _when_visible(found: Comparison) -> list[str]:
    """Say when zones become visible; of those of which that is not said, why, in one sentence."""
    when = found.zone_forecasts()
    ahead = [one for one in when if one.said not in {"refused", "visible"}]
    said = [one.sentence for one in ahead]
    if moved := found.hours_said([f"zone/{one.zone}" for one in ahead]):
        said.append(moved)
    reasons: dict[str, list[str]] = {}
    for one in when:
        if one not in ahead:
            reasons.setdefault(one.why or ALREADY, []).append(one.zone)
    if not reasons:
        return said
    told = "; ".join(f"{enumerated(zones)} ({why})" for why, zones in reasons.items())
    return [*said, f"No forecast of becoming visible: {told}."]


def _findings(inputs: Inputs) -> tuple[ZoneFinding, ...]:
    if inputs.pairs:
        return inputs.pairs[0].zones
    return inputs.comparison.zones_alone if inputs.comparison is not None else ()


def _shown(finding: ZoneFinding) -> Estimate:
    """Return a zone's change since the baseline, or its contrast when there is none."""
    return finding.change.step if finding.change is not None else finding.now


def outline(inputs: Inputs) -> Picture | None:
    """Draw the zones on the panel's outline: their change since the baseline, or their contrast as it stands."""
    panel, findings = inputs.panel, _findings(inputs)
    # A map shows one quantity: where there are changes, a zone that has none only tells in words how it stands.
    based = [one for one in findings if one.change is not None] if inputs.pairs else findings
    found = {one.zone: _shown(one) for one in based}
    others = {one.zone: f"not read at the baseline; stands at {signed(one.now)}" for one in findings}
    if not any(math.isfinite(found[z.name].value) for z in panel.zones if z.name in found):
        return None
    across, down = panel.pitch_mm
    references = {z.reference for z in panel.zones if z.reference}
    areas, rows = [], []
    for zone in panel.zones:
        estimate = found.get(zone.name)
        words = signed(estimate) if estimate is not None else others.get(zone.name) or _why(zone, references)
        value = estimate.value if estimate is not None else math.nan
        r = zone.rect
        areas.append(Area(zone.name, r.x * across, r.y * down, r.w * across, r.h * down, value, words))
        size = f"{r.w * across:.0f} mm × {r.h * down:.0f} mm"
        rows.append((zone.name, size, zone.reference or NONE, words))
    limit = _limit(inputs)
    title = (
        f"Zones against their reference, change from {inputs.first.said} to {inputs.last.said}"
        if inputs.last.since is not None
        else f"Zones against their reference at {inputs.last.said}"
    )
    columns = (text("Zone"), number("Size"), text("Reference"), number("Contrast ± 95 %"))
    alt = f"{title}, on the panel's outline: " + "; ".join(f"{row[0]} {row[3]}" for row in rows) + "."
    chart = MapChart(*panel.active_area_mm, UNIT, limit, areas=tuple(areas))
    note = (
        f"Measured on greys; the panel is seen from its front. The deepest colours stand for −{limit:g} % and "
        f"+{limit:g} %. Above 0: brighter, it aged less. Dashed: not read."
    )
    return Picture("zones", title, alt, chart, ReportTable(title, columns, tuple(rows)), note)


def strip(inputs: Inputs) -> Picture | None:
    """Draw the outline at every checkpoint with readings, on the large one's scale; nothing with one checkpoint."""
    panel, shown = inputs.panel, _shown_in_strip(inputs.inspected)
    across, down = panel.pitch_mm
    histories = {z.name: inputs.trend(f"zone/{z.name}") for z in panel.zones}
    if len(shown) < 2 or not any(histories.values()):
        return None
    limit, told_below = _limit(inputs), _farthest(histories)
    maps, rows = [], []
    for one in shown:
        areas, words = [], []
        for zone in panel.zones:
            point, r = _at(histories[zone.name], one), zone.rect
            value = point.value if point is not None else math.nan
            areas.append(Area(zone.name, r.x * across, r.y * down, r.w * across, r.h * down, value))
            words.append(NONE if point is None else point_of(point, "%", True).told)
        head = f"{one.use.words}\n{one.date}"
        worst = next(_tenths(a.value) for a in areas if a.name == told_below)
        maps.append((head, MapChart(*panel.active_area_mm, UNIT, limit, areas=tuple(areas)), worst))
        read = [i for i, z in enumerate(panel.zones) if histories[z.name] is not None]
        rows.append((f"{one.use.words}, {one.date}", *(words[i] for i in read)))
    names = [z.name for z in panel.zones if histories[z.name] is not None]
    title = "Zones at every checkpoint, change since the baseline"
    if len(shown) < len(inputs.inspected):
        title += f" ({len(inputs.inspected)} checkpoints; the baseline and the {len(shown) - 1} newest are drawn)"
    table = ReportTable(title, (text("Checkpoint"), *(number(n) for n in names)), tuple(rows), "± at 95 %.")
    alt = f"{title}, on the panel's outline: " + "; ".join(
        f"{row[0]}: " + ", ".join(f"{n} {w}" for n, w in zip(names, row[1:], strict=True)) for row in rows
    )
    scale = f"One scale for all: the deepest colours stand for −{limit:g} % and +{limit:g} %."
    note = f"{scale} Below each outline: {told_below}."
    return Picture("strip", title, f"{alt}.", StripChart(tuple(maps), _columns(len(maps))), table, note)


def _farthest(histories: Mapping[str, FigureHistory | None]) -> str:
    """Return the zone that went farthest by the newest checkpoint."""
    size = {name: abs(history.points[-1].value) for name, history in histories.items() if history is not None}
    return max(size, key=lambda name: size[name])


def _tenths(value: float) -> str:
    if not math.isfinite(value):
        return NONE
    return f"{minus(f'{value:+.1f}')} %" if abs(value) >= 0.05 else "0.0 %"


def _at(history: FigureHistory | None, one: Inspected) -> TrendPoint | None:
    points = history.points if history is not None else ()
    return next((p for p in points if p.checkpoint == one.evidence.name), None)


def _shown_in_strip(inspected: Sequence[Inspected]) -> list[Inspected]:
    """Return the baseline and the newest checkpoints, as many as are legible."""
    return [*inspected[:1], *inspected[1:][-(MOST_DRAWN - 1) :]]


def _columns(count: int) -> int:
    """Return how many stand beside each other, so that no row is left with one alone."""
    rows = -(-count // IN_A_ROW)
    return max(LEAST_IN_A_ROW, -(-count // rows))


def _limit(inputs: Inputs) -> float:
    """Return what the deepest colours stand for: outline and strip share it."""
    histories = [inputs.trend(f"zone/{z.name}") for z in inputs.panel.zones]
    values = [abs(p.value) for h in histories if h is not None for p in h.points]
    values += [abs(_shown(one).value) for one in _findings(inputs) if one.change is not None or not inputs.pairs]
    return nice_limit(max((v for v in values if math.isfinite(v)), default=1.0))


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
    return Picture(key, title, alt, chart, table_of(title, chart, head="Hours of use (h)"), f"Greys. {AT_95}")


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
            level = f"{one.reference_cd_m2:.3g} cd/m² ({level_words(one.level)})"
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
