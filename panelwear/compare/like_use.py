"""Forecasts by hours of like use: a checkpoint stands where its dose does (``ageing.like_hours``).

The dose is the mean over the channels (their own for red, green, blue): of what lies in the middle of the panel for
white and channels, and for a zone its own or its reference's, whichever is larger, since a contrast goes with what ages
more.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from panelwear.ageing.like_hours import LikeHours, like_hours
from panelwear.compare.comparison import Comparison, HoursMoved
from panelwear.compare.trend import FigureHistory
from panelwear.usage.doses import Dose
from panelwear.usage.records import WHOLE
from panelwear.usage.told import UsageTold
from sequences.model import PanelFacts, Zone

Real = NDArray[np.float64]
SHIFT = ("white.u_prime", "white.v_prime")
"""Series that are one figure to whoever asks: the shift of white."""
LEAST = 0.02
"""Share of the hours since the baseline by which a checkpoint has to move: what is less is no other use."""


def with_usage(found: Comparison, told: UsageTold | None, facts: PanelFacts) -> Comparison:
    """Return a comparison whose forecasts go by hours of like use, and which says so; as it is where use was alike.

    Args:
        found: all checkpoints compared.
        told: what was told of usage; ``None``: nothing.
        facts: of the panel: its zones and its middle.
    """
    if told is None or not told.doses or len(found.checkpoints) < 3 or not found.trend:
        return found
    doses = _by_place(told.doses, [one.name for one in told.checkpoints], [one.name for one in found.checkpoints])
    hours = np.array([one.hours for one in found.checkpoints])
    moved: list[FigureHistory] = []
    said: list[HoursMoved] = []
    for series in found.trend:
        like = _like(series, doses, facts, hours)
        if like is None or like.moved < LEAST:
            moved.append(series)
            continue
        each = zip(like.at.tolist(), like.u.tolist(), strict=True)
        moved.append(_over(series, dict(zip((c.name for c in found.checkpoints), each, strict=True))))
        said.append(HoursMoved(series.name, like.moved, _said(found, series, like)))
    return replace(found, forecast_from=tuple(moved), hours_moved=tuple(said)) if said else found


def _over(series: FigureHistory, hours: Mapping[str, tuple[float, float]]) -> FigureHistory:
    points = (
        replace(p, hours=hours[p.checkpoint][0], hours_u=math.hypot(p.hours_u, hours[p.checkpoint][1]))
        for p in series.points
    )
    return replace(series, points=tuple(points))


def _said(found: Comparison, series: FigureHistory, like: LikeHours) -> str:
    moves = like.at - np.array([one.hours for one in found.checkpoints])
    at = int(np.argmax(np.abs(moves)))
    one = found.checkpoints[at]
    what = "the shift of white" if series.name in SHIFT else series.caption
    return (
        f"Use was not alike, by what was told of it: for {what} {one.name} ({one.use.words}) counts as "
        f"{float(f'{like.at[at]:.3g}'):.0f} h; hours forecast are hours of use as hard as on "
        "average since the baseline."
    )


def _by_place(doses: Sequence[Dose], told: Sequence[str], wanted: Sequence[str]) -> dict[tuple[str, str], Real]:
    """Return doses ``(3, checkpoints)``, middle, least and most, by zone and channel, at the wanted checkpoints."""
    if not {*wanted} <= {*told}:
        return {}
    at = [told.index(name) for name in wanted]
    return {(one.zone, one.channel): np.array([one.hours, one.low, one.high])[:, at] for one in doses}


def _like(
    series: FigureHistory, doses: Mapping[tuple[str, str], Real], facts: PanelFacts, hours: Real
) -> LikeHours | None:  # fmt: skip
    """Put the hours of one figure on one scale; ``None`` where no dose tells of it."""
    kind, _, rest = series.name.partition("/")
    channels = [c for c in ("red", "green", "blue") if series.name.startswith(f"{c}.")] or ["red", "green", "blue"]
    places = [*_of_zone(rest, facts.zones)] if kind == "zone" else [_middle(facts), WHOLE]
    means = [np.mean([doses[place, c] for c in channels], axis=0) for place in places if (place, channels[0]) in doses]
    if not means:
        return None
    dose = max(means, key=lambda one: one[0, -1] - one[0, 0]) if kind == "zone" else means[0]
    return like_hours(dose, hours)


def _of_zone(name: str, zones: Sequence[Zone]) -> Iterator[str]:
    zone = next((one for one in zones if one.name == name), None)
    if zone is not None:
        yield zone.name
        yield zone.reference or WHOLE


def _middle(facts: PanelFacts) -> str:
    """Name the zone in the panel's middle, where white and channels are read; the uppermost, as it is painted."""
    x, y = facts.width_px / 2, facts.height_px / 2
    over = [z.name for z in facts.zones if z.rect.x <= x < z.rect.right and z.rect.y <= y < z.rect.bottom]
    return over[-1] if over else WHOLE
