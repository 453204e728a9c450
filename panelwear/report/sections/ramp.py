"""Grey ramp, gamma, and how windows load the panel: the baseline beside the newest checkpoint."""

from __future__ import annotations

import math

from panelwear.figures.evidence import Told
from panelwear.figures.formulas import luminance
from panelwear.figures.pick import at_full_drive, ramp, share_of, words
from panelwear.report.content import Axis, ChartPoint, ChartSeries, LineChart, Picture, Section, Style
from panelwear.report.formatting import at, signed, told
from panelwear.report.inputs import Inputs, Inspected
from panelwear.report.sections.common import AT_95, ends, ends_alt, table_of

CODES = Axis("drive code (1)", ticks=(0, 32, 64, 96, 128, 160, 192, 224, 255))
LOG_CODES = Axis("drive code (1)", True, (8, 16, 32, 64, 128, 255))
AREA = Axis("window, share of the area (%)", True, (1, 2, 5, 10, 20, 50, 100))


def ramp_section(inputs: Inputs) -> Section | None:
    """Return ramp and gamma, or nothing when no ramp was read."""
    pictures = []
    greys = [s for s in (_greys(one, style) for one, style in ends(inputs)) if s.points]
    if greys:
        chart = LineChart(LOG_CODES, Axis("luminance (cd/m²)", True), tuple(greys))
        shown = ramp(inputs.last.figures.evidence)[:1]
        where = f"{words(shown[0])} in the centre. " if shown else ""
        pictures.append(_picture("ramp", "Grey ramp", chart, f"{where[:1].upper()}{where[1:]}{AT_95}"))
    slopes = [s for s in (_gamma(one, style) for one, style in ends(inputs)) if s.points]
    if slopes:
        chart = LineChart(CODES, Axis("local gamma (1)"), tuple(slopes), joined=False, dodge=True)
        note = f"Slope of log luminance above black against log drive, between neighbouring codes. {AT_95}"
        pictures.append(_picture("gamma", "Gamma along the ramp", chart, note))
    pictures += _greys_colour(inputs)
    if not pictures:
        return None
    said = [f"{told(one.figures.get('gamma'))} at {one.said}" for one, _ in ends(inputs) if "gamma" in one.figures]
    lead = (f"Gamma over the whole ramp: {', '.join(said)}.",) if said else ()
    return Section("ramp", "Ramp and gamma", lead, pictures=tuple(pictures))


def _greys_colour(inputs: Inputs) -> list[Picture]:
    """Draw how the colour of the greys follows white down the ramp, at the newest checkpoint."""
    series = []
    styles: tuple[tuple[str, str, Style], ...] = (("du_prime", "Δu'", "zone-1"), ("dv_prime", "Δv'", "zone-2"))
    for part, name, style in styles:
        points = []
        for mean in ramp(inputs.last.figures.evidence):
            found = inputs.last.figures.get(f"grey/{mean.level}.{part}")
            if found is not None and math.isfinite(found.value):
                points.append(at(mean.code, found, signed(found)))
        series.append(ChartSeries(name, style, tuple(points)))
    if not all(len(s.points) > 1 for s in series):
        return []
    title = f"Colour of the greys against white, {inputs.last.said}"
    chart = LineChart(CODES, Axis("from white (1)"), tuple(series), 0.0, joined=False, dodge=True)
    return [_picture("greys", title, chart, f"{AT_95} The visible step of two fields side by side is about 0.0011.")]


def loading_section(inputs: Inputs) -> Section | None:
    """Return the loading curve, or nothing when fewer than two windows were read."""
    series = [s for s in (_windows(one, style) for one, style in ends(inputs)) if len(s.points) > 1]
    if not series:
        return None
    chart = LineChart(AREA, Axis("luminance (cd/m²)"), tuple(series), dodge=False)
    note = (
        f"White at full drive in windows of growing area on black. {AT_95} Points of one evening share the probe's "
        "scale: the curve's form is known far better than its height."
    )
    picture = _picture("loading", "Luminance of white against the lit area", chart, note)
    return Section("loading", "Loading", pictures=(picture, *_loads(inputs)))


def _loads(inputs: Inputs) -> list[Picture]:
    """Draw how far each window stands above the largest, where the probe's scale has dropped out."""
    series = []
    for one, style in ends(inputs):
        shares = {m.geometry: round(100 * share_of(m), 1) for m in at_full_drive(one.figures.evidence)}
        found = [(n.removeprefix("loading/"), e) for n, e in one.figures.items() if n.startswith("loading/")]
        series.append(ChartSeries(one.said, style, tuple(at(shares[g], e) for g, e in found if g in shares)))
    if not all(s.points for s in series):
        return []
    chart = LineChart(AREA, Axis("above the largest window (%)"), tuple(series), 0.0)
    note = f"Luminance over that of the largest window, less one: the probe's scale has dropped out. {AT_95}"
    return [_picture("loads", "Each window against the largest", chart, note)]


def _picture(key: str, title: str, chart: LineChart, note: str) -> Picture:
    alt = ends_alt(chart, f"{title}, against {chart.x.label}", chart.x.label.partition("(")[2].strip(")1 "))
    return Picture(key, title, alt, chart, table_of(title, chart), note)


def _greys(one: Inspected, style: Style) -> ChartSeries:
    evidence = one.figures.evidence
    points = []
    for mean in ramp(evidence):
        if mean.code > 0 and not evidence.is_dark(mean):
            estimate = evidence.estimate(Told("ramp", "cd/m²", ""), [mean], luminance)
            points.append(at(mean.code, estimate))
    return ChartSeries(one.said, style, tuple(points))


def _gamma(one: Inspected, style: Style) -> ChartSeries:
    points: list[ChartPoint] = []
    for name, estimate in one.figures.items():
        low, _, high = name.removeprefix("gamma/local/").partition("-")
        if name.startswith("gamma/local/") and low[:1] == high[:1] == "c":
            points.append(at((float(low[1:]) + float(high[1:])) / 2, estimate))
    return ChartSeries(one.said, style, tuple(points))


def _windows(one: Inspected, style: Style) -> ChartSeries:
    evidence = one.figures.evidence
    points = []
    for mean in sorted(at_full_drive(evidence), key=share_of):
        estimate = evidence.estimate(Told("peak", "cd/m²", ""), [mean], luminance)
        points.append(at(round(100 * share_of(mean), 1), estimate))
    return ChartSeries(one.said, style, tuple(points))
