"""What is kept of usage in words, for the terminal and the report."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from panelwear.readings.records import text_of
from panelwear.telling.words import counted
from panelwear.usage.amounts import Amount
from panelwear.usage.records import Content, Stretch
from panelwear.usage.told import Between

WHOLE_PANEL = "outside the zones"
NOT_TOLD = "not told"


@dataclass(frozen=True, slots=True)
class StretchWords:
    """One stretch, cell by cell."""

    since: str
    until: str
    use: str
    white: str
    shows: str


def rounded(hours: float) -> str:
    """Return effective hours with three digits, which is more than they are good for."""
    return f"{float(f'{hours:.3g}'):,.10g}" if hours >= 100 else f"{hours:.3g}"


def stretch_words(one: Stretch) -> StretchWords:
    """Return a stretch in words; what was not told is empty."""
    parts = [_to_the_minute(one.hours_a_day).words("h a day")] if one.hours_a_day is not None else []
    parts += [one.days_a_week.words("days a week")] if one.days_a_week is not None else []
    white = "" if one.white_cd_m2 is None else one.white_cd_m2.words("cd/m²")
    white = white if one.peak_share is None else f"{_percent(one.peak_share)} of the peak"
    zones = dict.fromkeys(content.zone for content in one.content)
    shows = [
        (f"{zone}: " if zone else "") + content_words([c for c in one.content if c.zone == zone]) for zone in zones
    ]
    shows += [f"{counted(one.pictures, 'screenshot')}"] if one.map else []
    return StretchWords(one.since, one.until or "now", ", ".join(parts), white, "; ".join(shows))


def content_words(parts: Sequence[Content]) -> str:
    """Return what one zone shows: "white 90 %, dark 10 %"."""
    return ", ".join(_one(part) for part in parts)


def hours_words(one: Between) -> list[str]:
    """Return names, hours counted and hours told."""
    told = NOT_TOLD if one.told is None else _whole(one.told)
    return [one.before.name, one.after.name, one.counted.words(), told]


def _one(part: Content) -> str:
    if part.codes is not None:
        what = "drive levels " + "/".join(text_of(code) for code in part.codes)
    elif part.light is not None:
        what = "light " + "/".join(f"{100 * light:.3g}" for light in part.light) + " %"
    else:
        what = part.shows
    return what if part.share == Amount(1.0, 1.0) else f"{what} {_percent(part.share)}"


def _percent(share: Amount) -> str:
    return Amount(round(100 * share.low, 6), round(100 * share.high, 6)).words("%")


def _to_the_minute(hours: Amount) -> Amount:
    """Round hours of a day to hundredths, and below a tenth to two digits: a log's hours divided by days have many."""
    low, high = (round(one, 2) if one >= 0.1 else float(f"{one:.2g}") for one in (hours.low, hours.high))
    return Amount(low, high)


def _whole(amount: Amount) -> str:
    return Amount(float(round(amount.low)), float(round(amount.high))).words()
