"""Luminance of white and primaries, and the white point, over the hours of use."""

from __future__ import annotations

import math

import numpy as np

from panelwear.compare.changes import VectorChange, between
from panelwear.report.content import (
    Axis,
    LineChart,
    Picture,
    PlaneChart,
    PlanePoint,
    Point,
    Section,
    Series,
    Style,
    Table,
    number,
    text,
)
from panelwear.report.inputs import Inputs
from panelwear.report.sections.common import AT_95, cuts, ends_alt, moved, over_hours, steps, table_of
from panelwear.report.words import NONE, at, signed, told

HOURS = Axis("hours of use (h)")
JND = 0.0011
"""Δu'v' taken for one just noticeable difference of two fields side by side: about one MacAdam step (MacAdam 1942);
the figure in u'v' is from memory."""
CHANNELS: tuple[tuple[str, Style], ...] = (("red", "red"), ("green", "green"), ("blue", "blue"))


def section(inputs: Inputs) -> Section | None:
    """Return the section, or nothing when white was never read."""
    if not any("white.Y" in one.figures for one in inputs.inspected):
        return None
    pictures = [*_over_time(inputs), *_white_point(inputs), *_plane(inputs)]
    lead = (
        "Steps of absolute luminance between months carry the probe's own stability; the channels against each other "
        "do not, because that cancels within one evening.",
    )
    single = ("One checkpoint says how the panel is now; how it changes shows from the second one on.",)
    several = len(inputs.inspected) > 1
    tables = () if several else (_now(inputs),)
    return Section("light", "Luminance and white point", lead if several else single, pictures=tuple(pictures),
                   tables=tables)  # fmt: skip


def _now(inputs: Inputs) -> Table:
    wanted = ("white.Y", "white.x", "white.y", "white.u_prime", "white.v_prime", "white.cct", "white.duv", "white.d65",
              "red.Y", "green.Y", "blue.Y", "additivity")  # fmt: skip
    found = [inputs.last.figures[n] for n in wanted if n in inputs.last.figures]
    rows = tuple((e.caption or e.name, told(e)) for e in found)
    return Table("White and primaries now", (text("Figure"), number("Value ± 95 %")), rows)


def _over_time(inputs: Inputs) -> list[Picture]:
    if len(inputs.inspected) < 2:
        return []
    found = []
    white = steps(inputs, "white.Y", "white", "white", 100.0)
    retained = [s for s in (white, *(_retention(inputs, hue, style) for hue, style in CHANNELS)) if len(s.points) > 1]
    if retained:
        chart = LineChart(HOURS, Axis("luminance, baseline = 100 %"), tuple(retained), 100.0, True, cuts(inputs), True)
        found.append(_picture("retention", "Luminance kept since the baseline", chart,
                              f"White and the primaries at the same drive code. {AT_95} The bars are this wide because "
                              "the probe's own stability between evenings is in them."))  # fmt: skip
    balance = [steps(inputs, f"{hue}.relative", hue, style) for hue, style in CHANNELS]
    balance = [s for s in balance if len(s.points) > 1]
    if balance:
        chart = LineChart(
            HOURS, Axis("against the other two channels (%)"), tuple(balance), 0.0, True, cuts(inputs), True
        )
        found.append(_picture("balance", "Each channel against the other two", chart,
                              f"Change since the baseline; the probe's stability cancels here. {AT_95}"))  # fmt: skip
    return found


def _retention(inputs: Inputs, hue: str, style: Style) -> Series:
    name = f"{hue}.Y"
    points = [Point(inputs.first.hours, 100.0, told="baseline")]
    for one in inputs.inspected[1:]:
        before, after = inputs.first.figures.get(name), one.figures.get(name)
        if one.since is None or before is None or after is None:
            continue
        step = between(before, after, "ratio", one.since.how.common).step
        if math.isfinite(step.value):
            points.append(moved(at(one.hours, step, signed(step)), 100.0))
    return Series(hue, style, tuple(points))


def _white_point(inputs: Inputs) -> list[Picture]:
    if len(inputs.inspected) < 2:
        return []
    found = []
    for name, key, title, label in (
        ("white.cct", "cct", "Colour temperature of white", "CCT (K)"),
        ("white.duv", "duv", "Distance of white from the Planckian locus", "Duv (1)"),
    ):
        series = over_hours(inputs, name, "white", "white")
        if len(series.points) > 1:
            chart = LineChart(HOURS, Axis(label), (series,), None, True, cuts(inputs))
            found.append(_picture(key, title, chart, AT_95))
    return found


def _picture(key: str, title: str, chart: LineChart, note: str) -> Picture:
    table = table_of(title, chart, head="Hours of use")
    return Picture(key, title, ends_alt(chart, f"{title}, against hours of use", "h"), chart, table, note)


def _plane(inputs: Inputs) -> list[Picture]:
    start = _uv(inputs, 0)
    if start is None:
        return []
    points = [PlanePoint(inputs.first.said, *start)]
    rows = [_plane_row(inputs, 0, NONE)]
    for i, one in enumerate(inputs.inspected[1:], start=1):
        row = one.since.rows.get("white.uv_prime") if one.since is not None else None
        if row is None or row.vector is None:
            continue
        du, dv = row.vector.values
        points.append(PlanePoint(one.said, start[0] + du, start[1] + dv, _ellipse(row.vector)))
        rows.append(_plane_row(inputs, i, told(row.change.step)))
    chart = PlaneChart(tuple(points), ((JND, "1 JND"), (3 * JND, "3 JND")), (PlanePoint("D65", 0.1978, 0.4683),))
    title = "White point in the u'v' plane"
    columns = (text("Checkpoint"), number("u'"), number("v'"), number("Δu'v' from the baseline"), number("CCT"),
               number("Duv"))  # fmt: skip
    alt = f"{title}, circles of 1 and 3 JND round the baseline at u' {start[0]:.4f}, v' {start[1]:.4f}. " + (
        f"At {inputs.last.said} white is {rows[-1][3]} away from it." if len(points) > 1 else "There is one checkpoint."
    )
    note = (
        f"Circles round the baseline: 1 JND is taken as Δu'v' {JND}, about one MacAdam step of two fields side by side "
        "(MacAdam 1942; its size in u'v' is from memory, not looked up). Ellipses: 95 % of the step from the baseline."
    )
    return [Picture("plane", title, alt, chart, Table(title, columns, tuple(rows), "± at 95 %."), note)]


def _uv(inputs: Inputs, i: int) -> tuple[float, float] | None:
    figures = inputs.inspected[i].figures
    u, v = figures.get("white.u_prime"), figures.get("white.v_prime")
    if u is None or v is None or not (math.isfinite(u.value) and math.isfinite(v.value)):
        return None
    return (u.value, v.value)


def _plane_row(inputs: Inputs, i: int, away: str) -> tuple[str, ...]:
    one = inputs.inspected[i]
    parts = [told(one.figures.get(f"white.{p}")) for p in ("u_prime", "v_prime", "cct", "duv")]
    return (f"{one.said}, {one.date}", parts[0], parts[1], away, parts[2], parts[3])


def _ellipse(vector: VectorChange) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return the semi-axes of the 95 % region: Hotelling's T² with 2 and dof - 1 degrees of freedom."""
    from scipy.special import fdtri

    spare = max(vector.dof - 1, 1.0)
    reach = -2 * math.log(0.05) if math.isinf(vector.dof) else 2 * vector.dof / spare * float(fdtri(2, spare, 0.95))
    values, vectors = np.linalg.eigh(np.array(vector.covariance))
    sizes = np.sqrt(np.maximum(values, 0.0) * reach)
    a, b = (vectors[:, k] * sizes[k] for k in (0, 1))
    return ((float(a[0]), float(a[1])), (float(b[0]), float(b[1])))
