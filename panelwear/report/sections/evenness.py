"""Uniformity: luminance over the grid against the centre, on the panel's outline."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from panelwear.compare.changes import step_between
from panelwear.figures.evidence import Evidence
from panelwear.figures.jointly import JointFigures, jointly
from panelwear.figures.means import Mean
from panelwear.figures.pick import level_words
from panelwear.report.content import MapChart, MapSpot, Picture, ReportTable, Section, number, text
from panelwear.report.formatting import signed, told
from panelwear.report.inputs import Inputs, Since
from panelwear.report.sections.common import ends
from panelwear.uncertainty.estimate import Estimate
from panelwear.uncertainty.formatting import NONE
from sequences.keys import MIDDLE, thousandths
from sequences.place_names import place_name

Real = NDArray[np.float64]
MID_GREY = 128.0


def section(inputs: Inputs) -> Section | None:
    """Return uniformity maps and figures, or nothing when no grid was read."""
    points = _grid(inputs.last.evidence)
    if len(points) < 3:
        return None
    against = "the centre" if _centre(points) is not None else "the mean"
    pictures = [_now(inputs, points, against)]
    if inputs.last.since is not None:
        pictures += _change(inputs, inputs.last.since, against)
    return Section("uniformity", "Uniformity", pictures=tuple(pictures), tables=(_figures(inputs),))


def outline(inputs: Inputs) -> Picture | None:
    """Draw the grid on the outline, for a panel without zones: its change, or with one checkpoint its evenness."""
    found = section(inputs)
    return replace(found.pictures[-1], key="outline") if found is not None else None


def _grid(evidence: Evidence) -> list[Mean]:
    grids: dict[tuple[str, str, str], list[Mean]] = {}
    for mean in evidence.select(purpose="grid", hue="grey"):
        if thousandths(mean.place) is not None and not evidence.is_dark(mean):
            grids.setdefault((mean.hue, mean.level, mean.geometry), []).append(mean)
    # The fullest grid; of several as full, the one nearest to mid-grey, which most inspections read.
    return max(grids.values(), key=lambda found: (len(found), -abs(found[0].code - MID_GREY)), default=[])


def _centre(points: Sequence[Mean]) -> int | None:
    return next((i for i, m in enumerate(points) if thousandths(m.place) == MIDDLE), None)


def _against(points: Sequence[Mean]) -> Callable[[Real], Real]:
    """Return a function from ``(m, k, 3)`` to 100 ln(L / L of the centre), or of the geometric mean without one."""
    centre = _centre(points)

    def logs(XYZ: Real) -> Real:
        log = np.log(XYZ[:, :, 1])
        base = log[:, centre : centre + 1] if centre is not None else log.mean(axis=1, keepdims=True)
        return np.asarray(100 * (log - base))

    return logs


def _now(inputs: Inputs, points: list[Mean], against: str) -> Picture:
    now = jointly(inputs.last.evidence, points, _against(points))
    title = f"Luminance against {against}, {inputs.last.said}"
    grey = f"Grey at {level_words(points[0].level)}, full field"
    note = f"{grey}, as seen from the front; the panel's own unevenness is in it."
    return _map(inputs, "evenness", title, note, points=points, joint=now)


def _change(inputs: Inputs, since: Since, against: str) -> list[Picture]:
    now = {m.key: m for m in _grid(since.pairing.after)}
    then = {m.key: m for m in _grid(since.pairing.before)}
    keys = [k for k in now if k in then]
    if len(keys) < 3:
        return []
    old, new = [then[k] for k in keys], [now[k] for k in keys]
    before, after = (
        jointly(s, m, _against(m)) for s, m in ((since.pairing.before, old), (since.pairing.after, new))
    )  # fmt: skip
    step = step_between(before, after, since.how.common) if before is not None and after is not None else None
    title = f"Luminance against {against}, change from {inputs.first.said} to {inputs.last.said}"
    note = "Change of the relative brightness: the panel's unevenness at the baseline cancels."
    return [_map(inputs, "evenness-change", title, note, points=new, joint=step)]


def _map(inputs: Inputs, key: str, title: str, note: str, *, points: list[Mean], joint: JointFigures | None) -> Picture:
    wide, high = inputs.panel.active_area_mm
    centre = _centre(points)
    spots, rows = [], []
    for i, mean in enumerate(points):
        across, down = thousandths(mean.place) or MIDDLE
        estimate = joint.percent(i, mean.place) if joint is not None else None
        words = "0 (reference)" if i == centre else NONE if estimate is None else signed(estimate)
        value = math.nan if estimate is None else estimate.value
        spots.append(MapSpot(mean.place, across / 1000 * wide, down / 1000 * high, value, words))
        rows.append((place_name(mean.place), f"{across / 1000 * wide:.0f} mm, {down / 1000 * high:.0f} mm", words))
    finite = [abs(s.value) for s in spots if math.isfinite(s.value)]
    limit = nice_limit(max(finite, default=1.0))
    columns = (text("Place"), number("From left, from top"), number("Luminance ± 95 %"))
    alt = f"{title}, on the panel's outline: " + "; ".join(f"{r[0]} {r[2]}" for r in rows) + "."
    chart = MapChart(wide, high, "luminance (%)", limit, tuple(spots))
    note += f" The deepest colours stand for −{limit:g} % and +{limit:g} %."
    return Picture(key, title, alt, chart, ReportTable(title, columns, tuple(rows)), note)


def nice_limit(value: float) -> float:
    """Return the next of 1, 2, 4, 6, 8, 10 … at or above a value, at least 1."""
    decade = 10.0 ** math.floor(math.log10(max(value, 1.0)))
    return next(m * decade for m in (1.0, 2.0, 4.0, 6.0, 8.0, 10.0) if m * decade >= value)


def _figures(inputs: Inputs) -> ReportTable:
    names = [n for n in inputs.last.figures if n.startswith("uniformity/")]
    shown = [one for one, _ in ends(inputs)]
    columns = (text("Figure"), *(number(one.said) for one in shown))
    rows = []
    for name in names:
        last: Estimate = inputs.last.figures[name]
        rows.append((last.caption, *(told(one.figures.get(name)) for one in shown)))
    return ReportTable("Uniformity over the grid", columns, tuple(rows), "± at 95 %.")
