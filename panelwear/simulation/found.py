"""What a rehearsal's readings say at first sight: plain means beside the true values, no more."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.readings.table import ReadingTable
from panelwear.simulation.emission import xyz_of
from panelwear.simulation.probe import DEFAULT_PROBE

Real = NDArray[np.float64]

ZONES = ("vessel-list", "clock-badge", "quay-camera", "route-line")


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """One checkpoint at first sight."""

    name: str
    hours: float
    white_XYZ: Real | None
    """Mean of the brightest small white window in the centre, ``(3,)``; ``None`` when there is none."""
    white_u_Y: float
    """Standard uncertainty of its luminance, the probe's session scale included."""
    white_key: str
    ramp: Mapping[float, float]
    """Grey code and mean luminance, 10 % windows in the centre."""
    zones: Mapping[str, float]
    """Zone and contrast against the chart on grey at one code (nearest to 128); paired readings only."""


def mean_of(table: ReadingTable, key: str) -> Real | None:
    """Give the mean X, Y, Z of a patch; ``None`` without readings."""
    rows = table.where(table.patch == key).usable()
    return np.asarray(rows.XYZ.mean(axis=0)) if len(rows) else None


def look(table: ReadingTable, name: str, hours: float) -> Found:
    """Take means of one checkpoint's table."""
    key = _white_key(table)
    white = mean_of(table, key) if key else None
    return Found(name, hours, white, 0.0 if white is None else _u(table, key, white), key, _ramp(table), _zones(table))


def _white_key(table: ReadingTable) -> str:
    wanted = ("ramp/centre/grey/c255/w10", "primary/centre/grey/c255/w10", "loading/centre/grey/c255/w10")
    there = set(table.patch.tolist())
    for key in wanted:
        if key in there:
            return key
    white = table.where((table.red == 255) & (table.green == 255) & (table.blue == 255) & (table.lit_share <= 0.25))
    return str(white.patch[-1]) if len(white) else ""


def _u(table: ReadingTable, key: str, white: Real) -> float:
    Y = table.where(table.patch == key).usable().Y
    scatter = float(Y.std(ddof=1) / np.sqrt(len(Y))) if len(Y) > 1 else DEFAULT_PROBE.repeatability * float(white[1])
    session = float(np.hypot(DEFAULT_PROBE.session_scale, DEFAULT_PROBE.placement)) * float(white[1])
    return float(np.hypot(scatter, session))


def session_u(white: Real) -> tuple[float, float, float, float]:
    """Give the standard uncertainties of u', v', CCT in K and Duv of a white, from the session's x and y alone."""
    from panelwear.colorimetry.basic import uv_prime_of
    from panelwear.colorimetry.cct import cct_duv

    step = DEFAULT_PROBE.session_xy
    xy = np.asarray(white[:2] / white.sum())
    points = xyz_of(xy + np.array([(0.0, 0.0), (step, 0.0), (0.0, step)]))
    values = np.column_stack([uv_prime_of(points), cct_duv(points)])
    u = np.hypot(values[1] - values[0], values[2] - values[0])
    return (float(u[0]), float(u[1]), float(u[2]), float(u[3]))


ZONE_CHANGE_U = DEFAULT_PROBE.placement * 2**0.5
"""Standard uncertainty of a zone's change: two placements on zone and on chart, at two checkpoints."""


def _ramp(table: ReadingTable) -> dict[float, float]:
    grey = (table.red == table.green) & (table.green == table.blue)
    centre = (table.place == "centre") & np.char.endswith(table.patch, "/w10") & (table.purpose != "reference")
    rows = table.where(grey & centre & (table.level_basis == "code")).usable()
    return {float(code): float(rows.Y[rows.red == code].mean()) for code in np.unique(rows.red)}


def _zones(table: ReadingTable) -> dict[str, float]:
    rows = table.where((table.purpose == "zone") & (table.pair != "")).usable()
    grey = rows.where((rows.red == rows.green) & (rows.green == rows.blue))
    contrasts: dict[str, float] = {}
    for zone in ZONES:
        mine = grey.where(grey.place == zone)
        if not len(mine):
            continue
        code = mine.red[np.argmin(np.abs(mine.red - 128))]
        there, beside = (grey.Y[(grey.place == p) & (grey.red == code)] for p in (zone, "chart"))
        if len(there) and len(beside):
            contrasts[zone] = float(there.mean() / beside.mean() - 1)
    return contrasts


def changes(found: Sequence[Found]) -> dict[str, list[float]]:
    """Give each zone's contrast with the first checkpoint's taken out, by checkpoint; ``nan`` where not read."""
    first = found[0].zones
    return {
        zone: [(1 + f.zones[zone]) / (1 + first[zone]) - 1 if zone in f.zones else float("nan") for f in found]
        for zone in first
    }
