"""Luminance of white and primaries, and the white point, over the hours of use."""

from __future__ import annotations

import math

import numpy as np

from panelwear.colorimetry.basic import uv_prime_of
from panelwear.compare.changes import Step, VectorChange, step_between
from panelwear.figures.jointly import jointly
from panelwear.figures.pick import white
from panelwear.report.content import (
    Axis,
    ChartSeries,
    LineChart,
    Picture,
    PlaneChart,
    PlanePoint,
    ReportTable,
    Section,
    Style,
    number,
    text,
)
from panelwear.report.formatting import signed, told
from panelwear.report.inputs import Inputs, Inspected
from panelwear.report.sections.common import AT_95, cuts, ends_alt, over_hours, table_of
from panelwear.uncertainty.formatting import NONE

HOURS = Axis("hours of use (h)")
STEP = 0.0011
"""Radius of one step of an n-step u'v' circle (CIE TN 001:2014, advisory); no threshold of what is noticed."""
CHANNELS: tuple[tuple[str, Style], ...] = (("red", "red"), ("green", "green"), ("blue", "blue"))


def section(inputs: Inputs) -> Section | None:
    """Return the section, or nothing when white was never read."""
    if not any("white.Y" in one.figures for one in inputs.inspected):
        return None
    pictures = [*_over_time(inputs), *_plane(inputs)]
    lead = (
        "Steps of absolute luminance between months carry the probe's own stability; the channels against each other "
        "do not, because that cancels within one evening.",
    )
    single = ("One checkpoint says how the panel is now; how it changes shows from the second one on.",)
    several = len(inputs.inspected) > 1
    tables = tuple(_sub_pixels(inputs)) if several else (_now(inputs),)
    sub = inputs.pairs[0].sub_pixels if inputs.pairs else None
    points = sub.sentences(inputs.pairs[0].verdicts_on_wear()) if sub is not None else ()
    return Section("light", "Luminance and white point", lead if several else single, pictures=tuple(pictures),
                   tables=tables, points=tuple(f"{s.rstrip('.')}." for s in points))  # fmt: skip


def _sub_pixels(inputs: Inputs) -> list[ReportTable]:
    found = inputs.pairs[0].sub_pixels if inputs.pairs else None
    if found is None:
        return []
    rows = tuple((c.hue, told(c.retention), signed(c.relative), told(c.loss_per_1000_h)) for c in found.channels)
    columns = (text("Channel"), number("Luminance kept"), number("Against the other two"), number("Loss"))
    caption = f"Sub-pixels, {inputs.first.said} to {inputs.last.said}"
    return [ReportTable(caption, columns, rows, "± at 95 %.")]


def _now(inputs: Inputs) -> ReportTable:
    wanted = ("white.Y", "white.x", "white.y", "white.u_prime", "white.v_prime", "white.cct", "white.duv", "white.d65",
              "red.Y", "green.Y", "blue.Y", "additivity")  # fmt: skip
    found = [inputs.last.figures[n] for n in wanted if n in inputs.last.figures]
    rows = tuple((e.caption or e.name, told(e)) for e in found)
    return ReportTable("White and primaries now", (text("Figure"), number("Value ± 95 %")), rows)


def _over_time(inputs: Inputs) -> list[Picture]:
    found = []
    kept_white = over_hours(inputs, "white.retention", "white", "white")
    kept = [s for s in (kept_white, *_channels(inputs, "retention")) if len(s.points) > 1]
    if kept:
        chart = LineChart(HOURS, Axis("luminance, baseline = 100 %"), tuple(kept), 100.0, True, cuts(inputs), True)
        note = (
            f"White and the primaries at the same drive level. {AT_95} The bars are this wide because the probe's own "
            "stability between evenings is in them."
        )
        found.append(_picture("retention", "Luminance kept since the baseline", chart, note))
    balance = [s for s in _channels(inputs, "relative") if len(s.points) > 1]
    if balance:
        label = Axis("against the other two channels (%)")
        chart = LineChart(HOURS, label, tuple(balance), 0.0, True, cuts(inputs), True)
        note = f"Change since the baseline; the probe's stability cancels here. {AT_95}"
        found.append(_picture("balance", "Each channel against the other two", chart, note))
    return found


def _channels(inputs: Inputs, part: str) -> list[ChartSeries]:
    return [over_hours(inputs, f"{hue}.{part}", hue, style) for hue, style in CHANNELS]


def _picture(key: str, title: str, chart: LineChart, note: str) -> Picture:
    table = table_of(title, chart, head="Hours of use (h)")
    return Picture(key, title, ends_alt(chart, f"{title}, against hours of use", "h"), chart, table, note)


def _plane(inputs: Inputs) -> list[Picture]:
    start = _uv(inputs.first)
    if start is None:
        return []
    points, rows = [PlanePoint(f"{inputs.first.use.words}", *start)], [_plane_row(inputs.first, None)]
    for one in inputs.inspected[1:]:
        step = _moved(one)
        if step is not None:
            vector = step.vector()
            points.append(
                PlanePoint(
                    f"{one.use.words}", start[0] + vector.values[0], start[1] + vector.values[1], _ellipse(vector)
                )
            )
            rows.append(_plane_row(one, step))
    chart = PlaneChart(tuple(points), ((STEP, "1 step"), (3 * STEP, "3 steps")), (PlanePoint("D65", 0.1978, 0.4683),))
    title = "White point in the u'v' plane"
    columns = (text("Checkpoint"), number("u'"), number("v'"), number("Δu'"), number("Δv'"), number("CCT"),
               number("Duv"))  # fmt: skip
    alt = f"{title}, circles of 1 and 3 steps round the baseline at u' {start[0]:.4f}, v' {start[1]:.4f}. " + (
        f"At {points[-1].name} white has moved by Δu' {rows[-1][3]}, Δv' {rows[-1][4]}."
        if len(points) > 1
        else "There is one checkpoint."
    )
    note = (
        f"Dashed, as far as in view: circles of 1 and 3 steps round the baseline; a step is Δu'v' {STEP} (n-step u'v' "
        "circle of CIE TN 001:2014), no more than a guide to what is noticed."
    )
    note += " Ellipses: 95 % of the step from the baseline." if len(points) > 1 else ""
    return [
        Picture(
            "plane",
            title,
            alt,
            chart,
            ReportTable(title, columns, tuple(rows), "± at 95 %. Δ: from the baseline."),
            note,
        )
    ]


def _uv(one: Inspected) -> tuple[float, float] | None:
    u, v = one.figures.get("white.u_prime"), one.figures.get("white.v_prime")
    if u is None or v is None or not (math.isfinite(u.value) and math.isfinite(v.value)):
        return None
    return (u.value, v.value)


def _moved(one: Inspected) -> Step | None:
    """Return (Δu', Δv') of white since the baseline, or nothing when white does not pair."""
    if one.since is None:
        return None
    sides = []
    for evidence in (one.since.pairing.before, one.since.pairing.after):
        mean = white(evidence)
        if mean is None or not mean.has_colour or evidence.is_dark(mean):
            return None
        found = jointly(evidence, [mean], lambda XYZ: uv_prime_of(XYZ[:, 0]))
        if found is None:
            return None
        sides.append((mean.key, found))
    return step_between(sides[0][1], sides[1][1], one.since.how.common) if sides[0][0] == sides[1][0] else None


def _plane_row(one: Inspected, step: Step | None) -> tuple[str, ...]:
    u, v = (told(one.figures.get(f"white.{p}")) for p in ("u_prime", "v_prime"))
    away = (NONE, NONE) if step is None else tuple(signed(step.estimate(i, "", "1")) for i in (0, 1))
    return (f"{one.use.words}, {one.date}", u, v, *away, *(told(one.figures.get(f"white.{p}")) for p in ("cct", "duv")))


def _ellipse(vector: VectorChange) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return the semi-axes of the 95 % region: Hotelling's T² with 2 and dof - 1 degrees of freedom."""
    from scipy.special import fdtri

    spare = max(vector.dof - 1, 1.0)
    reach = -2 * math.log(0.05) if math.isinf(vector.dof) else 2 * vector.dof / spare * float(fdtri(2, spare, 0.95))
    values, vectors = np.linalg.eigh(np.array(vector.covariance))
    sizes = np.sqrt(np.maximum(values, 0.0) * reach)
    a, b = (vectors[:, k] * sizes[k] for k in (0, 1))
    return ((float(a[0]), float(a[1])), (float(b[0]), float(b[1])))
