"""Effective hours for each hour of use: of one zone and channel, under what was told of a segment."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from groundwork.once import once
from panelwear.ageing.dose import L_REF_CD_M2, dose_rate
from panelwear.panel.response import Response
from panelwear.usage.amounts import Amount
from panelwear.usage.course import Segment
from panelwear.usage.kinds import KINDS
from panelwear.usage.maps import DoseMap
from panelwear.usage.records import WHOLE, Content, Stretch
from sequences.model import Zone

Real = NDArray[np.float64]

CHANNELS = ("red", "green", "blue")
Shown = tuple[Stretch, tuple[Content, ...]]
"""A stretch, and its content of one zone."""


@dataclass(frozen=True, slots=True)
class Panelled:
    """What must be known of the panel."""

    zones: tuple[Zone, ...]
    response: Response
    maps: dict[str, DoseMap]
    """Dose maps by file name; one that cannot be used is not there."""
    levels: dict[tuple[Content, str], Amount] = field(default_factory=dict, init=False)
    """Light of contents by channel, once it was worked out."""
    memo: dict[Any, Any] = field(default_factory=dict, init=False)
    """What holds on segments, once it was looked up: of a day of which nothing was told all others may be asked."""

    def level(self, content: Content, channel: str) -> Amount:
        """Return the light of a channel as a share of what it gives in white."""
        found = self.levels.get((content, channel))
        if found is None:
            found = self.levels[content, channel] = level_of(content, channel, self.response)
        return found

    def white(self, segment: Segment) -> Amount:
        """Return the luminance of the desktop's white in cd/m²."""
        return once(self.memo, segment, lambda: white_of(segment, self.response))

    def shown(self, segment: Segment, zone: str) -> Shown | None:
        """Return what a zone shows, as ``shown`` does, with what other days lend it."""
        return once(self.memo, (segment, zone), lambda: shown(segment.layers, zone, self.maps))


def white_of(segment: Segment, response: Response) -> Amount:
    """Return the luminance of the desktop's white in cd/m²; the peak where nobody ever told it."""
    peak = response.curve("grey").peak_cd_m2
    for one in segment.layers:
        if one.white_cd_m2 is not None:
            return one.white_cd_m2
        if one.peak_share is not None:
            return one.peak_share.times(peak)
    return Amount(peak, peak)


def tells_white(told: Iterable[Stretch]) -> bool:
    """Tell whether any of some stretches tells the brightness."""
    return any(one.white_cd_m2 is not None or one.peak_share is not None for one in told)


def shown(told: Iterable[Stretch], zone: str, maps: dict[str, DoseMap]) -> Shown | None:
    """Return which stretch tells what a zone showed, with its content; none of it where its map does.

    ``None`` where nobody told.
    """
    for one in told:
        own = tuple(c for c in one.content if c.zone == zone)
        whole = tuple(c for c in one.content if c.zone == WHOLE)
        if own or (one.map in maps if one.map else False) or whole:
            return one, own or (() if one.map in maps else whole)
    return None


@dataclass(frozen=True, slots=True)
class Case:
    """With which exponent, and at which end of the ranges that were told, it is reckoned."""

    exponent: float
    end: str
    """``low``, ``mid`` or ``high``."""


def rate(segment: Segment, zone: str, channel: str, known: Panelled, case: Case) -> float | None:
    """Return effective hours an hour of use; ``None`` where nobody ever told what the zone showed.

    Args:
        segment: days on which one and the same holds.
        zone: its name; empty: the whole panel.
        channel: ``red``, ``green`` or ``blue``.
        known: of the panel.
        case: exponent and end.
    """
    found = known.shown(segment, zone)
    if found is None:
        return None
    white = known.white(segment).at(case.end) / L_REF_CD_M2
    stretch, content = found
    if not content:
        of_white = known.maps[stretch.map].mean(zone, known.zones, CHANNELS.index(channel), case.exponent)
        return of_white * float(dose_rate(white, case.exponent))
    parts = [(known.level(one, channel), one.share) for one in content]
    return sum(share * float(dose_rate(level * white, case.exponent)) for level, share in _shares(parts, case.end))


def level_of(content: Content, channel: str, response: Response) -> Amount:
    """Return the light of a channel as a share of what it gives in white."""
    i = CHANNELS.index(channel)
    if content.light is not None:
        return Amount(content.light[i], content.light[i])
    code = KINDS[content.shows].code if content.codes is None else Amount(content.codes[i], content.codes[i])
    shares = channel_shares(response, channel)
    # Between two codes the spatial mix, which is linear in light.
    low, high = np.interp([code.low, code.high], np.arange(len(shares)), shares)
    return Amount(float(low), float(high))


def channel_shares(response: Response, channel: str) -> Real:
    """Return a channel's light at each of the 256 codes as a share of its light in white, black taken off."""
    curve = response.curve(channel)
    light = np.asarray(curve.cd_m2) - curve.black_cd_m2
    return np.asarray(light / light[-1] if light[-1] > 0 else light)


def _shares(parts: Sequence[tuple[Amount, Amount]], end: str) -> list[tuple[float, float]]:
    """Return level and share of time of each part at one end, the shares never more than 1 together."""
    left, found = 1.0, []
    for level, share in sorted(parts, key=lambda part: -part[0].at(end)):
        taken = min(share.at(end), left)
        left -= taken
        found.append((level.at(end), taken))
    return found
