"""Dose by zone and channel at each checkpoint, from what was told of usage, with a band."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from panelwear.ageing.dose import EXPONENTS, effective_hours
from panelwear.folder.panel import Panel
from panelwear.panel.response import Response
from panelwear.usage.amounts import Amount
from panelwear.usage.course import Segment, course_of, up_to_each
from panelwear.usage.maps import DoseMap, load_maps
from panelwear.usage.rates import CHANNELS, Case, Panelled, rate
from panelwear.usage.records import WHOLE, Usage
from panelwear.usage.stretches import Standing, laid

ONE = Amount(1.0, 1.0)
_ENDS = ("low", "mid", "high")


@dataclass(frozen=True, slots=True)
class Dose:
    """Effective hours of one channel of one zone, come together since the panel was new, one a checkpoint."""

    zone: str
    """Its name; empty: the panel outside its zones."""
    channel: str
    """``red``, ``green`` or ``blue``."""
    hours: tuple[float, ...]
    """Hours of a white of ``ageing.dose.L_REF_CD_M2`` with the middle exponent, oldest checkpoint first."""
    low: tuple[float, ...]
    """The least they can be: any exponent of ``EXPONENTS``, any end of the ranges told."""
    high: tuple[float, ...]


def doses_of(
    usage: Usage,
    panel: Panel,
    response: Response,
    checkpoints: Sequence[Standing],
    maps: dict[str, DoseMap] | None = None,
) -> tuple[Dose, ...]:
    """Work out the doses of every zone of which something was told.

    The hours are those counted at the checkpoints; what was told decides how hard each of them was. What was told of
    other days stands for what was not told of a day, key by key: the nearest before, else the first.

    Args:
        usage: what was told.
        panel: its zones, its folder.
        response: light against drive level; measured where one was.
        checkpoints: name, day and hours of use, in any order.
        maps: dose maps by file name; read from the panel folder when left out.
    """
    ordered = sorted(checkpoints, key=lambda c: (c.use.value, c.name))
    if not (ordered and usage.stretches):
        return ()
    known = Panelled(panel.zones, response, load_maps(usage, panel) if maps is None else maps)
    parts = up_to_each(course_of(laid(usage, ordered)), ordered)
    found = []
    outside = () if covered(panel) else (WHOLE,)
    for zone in (*(zone.name for zone in panel.zones), *outside):
        for channel in CHANNELS:
            one = _dose(zone, channel, parts, known, ordered)
            if one is not None:
                found.append(one)
    return tuple(found)


def covered(panel: Panel) -> bool:
    """Tell whether the zones leave nothing of a panel over."""
    rects = [zone.rect for zone in panel.zones]
    across = sorted({0, panel.width_px, *(x for r in rects for x in (r.x, r.right) if 0 < x < panel.width_px)})
    down = sorted({0, panel.height_px, *(y for r in rects for y in (r.y, r.bottom) if 0 < y < panel.height_px)})
    return all(any(r.x <= x < r.right and r.y <= y < r.bottom for r in rects) for x in across[:-1] for y in down[:-1])


def _dose(
    zone: str, channel: str, parts: Sequence[Sequence[Segment]], known: Panelled, ordered: Sequence[Standing]
) -> Dose | None:
    def at(exponent: float, end: str) -> tuple[float, ...] | None:
        rates = [mean_rate(one, zone, channel, known, Case(exponent, end)) for one in parts]
        told = [one for one in rates if one is not None]
        return effective_hours(steps_of(ordered, end), told) if len(told) == len(rates) else None

    mid = at(EXPONENTS[1], "mid")
    if mid is None:
        return None
    each = {end: [found for n in EXPONENTS if (found := at(n, end)) is not None] for end in _ENDS}
    low = tuple(min(values) for values in zip(*each["low"], *each["mid"], strict=True))
    high = tuple(max(values) for values in zip(*each["high"], *each["mid"], strict=True))
    return Dose(zone, channel, mid, low, high)


def steps_of(ordered: Sequence[Standing], end: str) -> list[float]:
    """Return the hours of use up to each checkpoint since the one before it, at one end of what is known of them."""
    totals, most = [], 0.0
    for one in ordered:
        use = one.use
        most = max(most, {"low": use.low, "mid": use.value, "high": use.high}[end])
        totals.append(most)
    return [now - before for before, now in zip([0.0, *totals], totals, strict=False)]


def mean_rate(parts: Sequence[Segment], zone: str, channel: str, known: Panelled, case: Case) -> float | None:
    """Return effective hours an hour of use over some segments, weighted by the hours of use that were told of each.

    At the low end the segments that cost least have their most hours and the others their least; at the high end the
    other way round. Where hours were never told, days are the weights. ``None`` where nobody told what the zone showed.
    """
    each = [(rate(part, zone, channel, known, case), part) for part in parts]
    told = [(value, part) for value, part in each if value is not None]
    if len(told) < len(each):
        return None
    taken = [part.hours_taken() for part in parts]
    hours = [ONE if one is None else one for one in taken]
    middle = _weighted(told, [one.mid for one in hours])
    if case.end == "mid":
        return middle
    cheap = ("high", "low") if case.end == "low" else ("low", "high")
    return _weighted(told, [one.at(cheap[value > middle]) for (value, _), one in zip(told, hours, strict=True)])


def _weighted(told: Sequence[tuple[float, Segment]], hours_a_day: Sequence[float]) -> float:
    weights = [part.days * a_day for (_, part), a_day in zip(told, hours_a_day, strict=True)]
    if not sum(weights) > 0:
        weights = [part.days for _, part in told]
    return sum(w * value for w, (value, _) in zip(weights, told, strict=True)) / sum(weights)
