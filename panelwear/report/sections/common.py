"""What several parts of the report share."""

from __future__ import annotations

import math
from itertools import pairwise

from panelwear.compare.differences import compare_circumstances
from panelwear.compare.trend import TrendPoint
from panelwear.report.content import ChartPoint, ChartSeries, LineChart, ReportTable, Style, TableColumn, number
from panelwear.report.inputs import Inputs, Inspected
from panelwear.uncertainty.formatting import NONE, rounded, unit_of

AT_95 = "± and bars: 95 %."
ZONE_STYLES: tuple[Style, ...] = ("zone-1", "zone-2", "zone-3", "zone-4", "zone-5", "zone-6")


def ends(inputs: Inputs) -> tuple[tuple[Inspected, Style], ...]:
    """Return the baseline and the newest checkpoint with their styles; one alone is the newest."""
    if len(inputs.inspected) == 1:
        return ((inputs.last, "last"),)
    return ((inputs.first, "first"), (inputs.last, "last"))


def over_hours(inputs: Inputs, figure: str, name: str, style: Style) -> ChartSeries:
    """Return a figure over the hours of use, with its intervals, from the comparison's trend."""
    trend = inputs.trend(figure)
    if trend is None:
        return ChartSeries(name, style, ())
    # A change has its sign; what was kept, and colour temperature, are no changes.
    is_signed = figure.startswith("zone/") or figure.endswith(".relative")
    return ChartSeries(name, style, tuple(point_of(p, trend.unit, is_signed) for p in trend.points))


def point_of(point: TrendPoint, unit: str, is_signed: bool) -> ChartPoint:
    """Return a checkpoint's value in a trend as a chart's point."""
    x_told = f"{point.use.low:g} to {point.use.high:g}" if point.use.is_range else ""
    if point.u == 0:
        return ChartPoint(point.hours, point.value, told="baseline", x_told=x_told)
    half = (point.high - point.low) / 2
    words = f"{rounded(point.value, half, is_signed)} ± {rounded(half, half)}{unit_of(unit)}"
    return ChartPoint(point.hours, point.value, point.low, point.high, words, x_told)


def table_of(caption: str, chart: LineChart, note: str = "", head: str = "") -> ReportTable:
    """Write a line chart out as a table: one row an x, one column a series."""
    xs = sorted({p.x for s in chart.series for p in s.points})
    cells = [{x: [p for p in s.points if p.x == x] for x in xs} for s in chart.series]
    columns: list[TableColumn] = [number(head or chart.x.label), *(number(s.name) for s in chart.series)]
    # Two checkpoints may stand at the same hours, such as before and after a compensation cycle.
    rows = tuple(
        (
            next((c[x][i].x_told for c in cells if i < len(c[x]) and c[x][i].x_told), f"{x:g}"),
            *(c[x][i].told if i < len(c[x]) else NONE for c in cells),
        )
        for x in xs
        for i in range(max(len(c[x]) for c in cells))
    )
    return ReportTable(caption, tuple(columns), rows, note)


def ends_alt(chart: LineChart, what: str, x_unit: str) -> str:
    """Describe a line chart in words: where each series begins and ends."""
    said = []
    for series in chart.series:
        if series.points:
            first, last = series.points[0], series.points[-1]
            said.append(
                f"{series.name} from {first.told} at {first.x_told or f'{first.x:g}'}{unit_of(x_unit)} to {last.told} "
                f"at {last.x_told or f'{last.x:g}'}{unit_of(x_unit)}"
            )
    return f"{what}: " + "; ".join(said) + "." if said else what


def cuts(inputs: Inputs) -> tuple[tuple[float, str], ...]:
    """Return where the trend is cut, and by what: where the cycle ran, else half way between the checkpoints."""
    trend = inputs.comparison.trend if inputs.comparison is not None else ()
    segments = {p.checkpoint: p.segment for series in trend for p in series.points}
    found = []
    for before, after in pairwise(inputs.inspected):
        first, last = (segments.get(one.evidence.name) for one in (before, after))
        if first is None or last is None or last <= first:
            continue
        was, now = before.evidence.circumstances, after.evidence.circumstances
        how = compare_circumstances(was, now)
        if not how.cycle_between:
            why = "another setting" if how.common else "another probe or calibration"
            found.append(((before.hours + after.hours) / 2, why))
            continue
        since = now.answers.get("since_cycle_h", "").replace(",", ".")
        at_h = after.hours - float(since) if _is_number(since) else math.nan
        inside = before.hours <= at_h <= after.hours
        found.append((at_h if inside else (before.hours + after.hours) / 2, "compensation cycle"))
    return tuple(found)


def _is_number(words: str) -> bool:
    try:
        float(words)
    except ValueError:
        return False
    return True
