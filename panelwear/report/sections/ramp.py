"""Grey ramp and the load of windows: as ratios to the baseline, or as they stand where there is but one checkpoint."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from panelwear.compare.changes import step_between
from panelwear.figures.evidence import Evidence, Told
from panelwear.figures.formulas import luminance
from panelwear.figures.jointly import jointly
from panelwear.figures.means import Mean
from panelwear.figures.pick import at_full_drive, ramp, share_of, words
from panelwear.report.content import (
    Axis,
    ChartPoint,
    ChartSeries,
    LineChart,
    Picture,
    ReportTable,
    Section,
    Style,
    number,
    text,
)
from panelwear.report.formatting import at, signed, told
from panelwear.report.inputs import Inputs, Since
from panelwear.report.sections.common import AT_95, ends, ends_alt, table_of
from panelwear.report.sections.light import STEP
from panelwear.telling.words import counted, with_capital
from panelwear.uncertainty.coverage import interval
from panelwear.uncertainty.estimate import Estimate

Real = NDArray[np.float64]

CODES = Axis("drive level (of 255)", ticks=(0, 32, 64, 96, 128, 160, 192, 224, 255))
LOG_CODES = Axis("drive level (of 255)", True, (8, 16, 32, 64, 128, 255))
AREA = Axis("window, share of the area (%)", True, (1, 2, 5, 10, 20, 50, 100))
CHANGE = Axis("change since the baseline (%)")


def section(inputs: Inputs) -> Section | None:
    """Return ramp, gamma and loading, or nothing when neither a ramp nor two windows were read."""
    pictures = [*_ramp(inputs), *_loading(inputs), *_greys_colour(inputs)]
    if not pictures:
        return None
    said = [f"{told(one.figures.get('gamma'))} at {one.said}" for one, _ in ends(inputs) if "gamma" in one.figures]
    lead: tuple[str, ...] = (f"Gamma over the whole ramp: {', '.join(said)}.",) if said else ()
    folded = tuple(_local_gamma(inputs))
    lead = (*lead, *_farthest(pictures))
    return Section("ramp", "Ramp and loading", lead + _greys_alike(inputs), pictures=tuple(pictures), folded=folded)


def _farthest(pictures: Sequence[Picture]) -> tuple[str, ...]:
    """Say which grey moved most against the brightest since the baseline, so that no point stands without a word."""
    drawn = next((p.chart for p in pictures if p.key == "ramp"), None)
    if not isinstance(drawn, LineChart) or drawn.y is not CHANGE:
        return ()
    points = [p for p in drawn.series[0].points if p.low < p.high]
    if not points:
        return ()
    most = max(points, key=lambda p: abs(p.y) / (p.high - p.low))
    clear = sum(not p.low <= 0 <= p.high for p in points)
    return (
        f"{clear} of {counted(len(points), 'grey')} changed against the brightest beyond the 95 % interval, each taken "
        f"by itself; most clearly the one at drive level {most.x:g}: {most.told}.",
    )


def _ramp(inputs: Inputs) -> list[Picture]:
    if inputs.last.since is not None:
        then, now = (_lit(e, ramp(e)) for e in (inputs.last.since.pairing.before, inputs.last.since.pairing.after))
        points = _steps(inputs.last.since, then, now, [m.code for m in now])
        if points:
            chart = LineChart(CODES, CHANGE, (ChartSeries(inputs.last.said, "last", points),), 0.0, joined=False)
            title = f"Greys against the brightest, change from {inputs.first.said} to {inputs.last.said}"
            note = f"{_where(now)} Change of the relative brightness: the probe's scale cancels. {AT_95}"
            return [_picture("ramp", title, chart, note)]
    evidence = inputs.last.figures.evidence
    greys = [m for m in _lit(evidence, ramp(evidence)) if m.code > 0]
    if len(greys) < 2:
        return []
    points = tuple(at(m.code, evidence.estimate(Told("ramp", "cd/m²", ""), [m], luminance)) for m in greys)
    chart = LineChart(LOG_CODES, Axis("luminance (cd/m²)", True), (ChartSeries(inputs.last.said, "last", points),))
    return [_picture("ramp", f"Grey ramp at {inputs.last.said}", chart, f"{_where(greys)} {AT_95}")]


def _lit(evidence: Evidence, means: Sequence[Mean]) -> list[Mean]:
    return [m for m in means if not evidence.is_dark(m)]


def _where(means: Sequence[Mean]) -> str:
    said = f"{words(means[0])} in the centre." if means else ""
    return with_capital(said)


def _loading(inputs: Inputs) -> list[Picture]:
    if inputs.last.since is not None:
        then, now = (_windows(e) for e in (inputs.last.since.pairing.before, inputs.last.since.pairing.after))
        points = _steps(inputs.last.since, then, now, [_percent(m) for m in now])
        if points:
            chart = LineChart(AREA, CHANGE, (ChartSeries(inputs.last.said, "last", points),), 0.0, joined=False)
            title = f"White windows against the largest, change from {inputs.first.said} to {inputs.last.said}"
            note = (
                f"White at full drive on black. Change of the relative brightness: the probe's scale cancels. {AT_95}"
            )
            return [_picture("loading", title, chart, note)]
    evidence = inputs.last.figures.evidence
    windows = _windows(evidence)
    if len(windows) < 2:
        return []
    points = tuple(at(_percent(m), evidence.estimate(Told("peak", "cd/m²", ""), [m], luminance)) for m in windows)
    chart = LineChart(AREA, Axis("luminance (cd/m²)"), (ChartSeries(inputs.last.said, "last", points),))
    note = (
        f"White at full drive in windows of growing area on black. {AT_95} Points of one evening share the probe's "
        "scale: the curve's form is known far better than its height."
    )
    return [_picture("loading", f"Luminance of white against the lit area at {inputs.last.said}", chart, note)]


def _windows(evidence: Evidence) -> list[Mean]:
    return sorted(at_full_drive(evidence), key=share_of)


def _percent(mean: Mean) -> float:
    return round(100 * share_of(mean), 1)


def _steps(since: Since, then: Sequence[Mean], now: Sequence[Mean], xs: Sequence[float]) -> tuple[ChartPoint, ...]:
    """Return what each patch over the last one did since the baseline, in %; nothing where fewer than three pair."""
    earlier = {m.key: m for m in then}
    both = [(earlier[m.key], m, x) for m, x in zip(now, xs, strict=True) if m.key in earlier]
    if len(both) < 3:
        return ()
    before = jointly(since.pairing.before, [a for a, _, _ in both], _against_last)
    after = jointly(since.pairing.after, [b for _, b, _ in both], _against_last)
    if before is None or after is None:
        return ()
    step = step_between(before, after, since.how.common)
    found = [(x, step.percent(i, m.key)) for i, (_, m, x) in enumerate(both[:-1])]
    points = [at(x, estimate, signed(estimate)) for x, estimate in found]
    return (*points, ChartPoint(both[-1][2], 0.0, told="0 (reference)"))


def _against_last(XYZ: Real) -> Real:
    """Return 100 ln(L / L of the last patch), from ``(m, k, 3)`` to ``(m, k)``."""
    log = np.log(XYZ[:, :, 1])
    return np.asarray(100 * (log - log[:, -1:]))


def _colours(inputs: Inputs) -> dict[str, list[tuple[float, Estimate]]]:
    """Return Δu' and Δv' of the greys against white by drive level, at the newest checkpoint."""
    found: dict[str, list[tuple[float, Estimate]]] = {"du_prime": [], "dv_prime": []}
    for mean in ramp(inputs.last.figures.evidence):
        for part, listed in found.items():
            estimate = inputs.last.figures.get(f"grey/{mean.level}.{part}")
            if estimate is not None and math.isfinite(estimate.value):
                listed.append((mean.code, estimate))
    return found


def _stands_out(estimate: Estimate) -> bool:
    low, high = interval(estimate)
    return abs(estimate.value) >= STEP and not low <= 0 <= high


def _greys_colour(inputs: Inputs) -> list[Picture]:
    """Draw how the colour of the greys follows white down the ramp, where any leaves it by a step or more."""
    found = _colours(inputs)
    if not any(_stands_out(e) for listed in found.values() for _, e in listed):
        return []
    styles: tuple[tuple[str, str, Style], ...] = (("du_prime", "Δu'", "zone-1"), ("dv_prime", "Δv'", "zone-2"))
    series = tuple(
        ChartSeries(name, style, tuple(at(code, e, signed(e)) for code, e in found[part]))
        for part, name, style in styles
    )
    title = f"Colour of the greys against white, {inputs.last.said}"
    chart = LineChart(CODES, Axis("from white (1)"), series, 0.0, joined=False, dodge=True)
    return [_picture("greys", title, chart, f"{AT_95} One step is Δu'v' {STEP}.")]


def _greys_alike(inputs: Inputs) -> tuple[str, ...]:
    found = _colours(inputs)
    listed = [e for one in found.values() for _, e in one]
    if not listed or any(_stands_out(e) for e in listed):
        return ()
    return (
        f"At {inputs.last.said} all greys keep the colour of white within a step (Δu'v' {STEP}) and their uncertainty.",
    )


def _local_gamma(inputs: Inputs) -> list[ReportTable]:
    """Write gamma along the ramp out; its bars are as long as what there is to see, so it is no picture."""
    shown = [one for one, _ in ends(inputs)]
    names = [n for n in inputs.last.figures if n.startswith("gamma/local/")]
    rows = tuple((n.removeprefix("gamma/local/"), *(told(one.figures.get(n)) for one in shown)) for n in names)
    columns = (text("Between drive levels"), *(number(one.said) for one in shown))
    note = "Slope of log luminance above black against log drive, between neighbouring levels. ± at 95 %."
    return [ReportTable("Gamma along the ramp", columns, rows, note)] if rows else []


def _picture(key: str, title: str, chart: LineChart, note: str) -> Picture:
    alt = ends_alt(chart, f"{title}, against {chart.x.label}", chart.x.label.partition("(")[2].strip(")1 "))
    return Picture(key, title, alt, chart, table_of(title, chart), note.strip())
