"""``usage.toml``: what a panel showed between its checkpoints, as a person tells it. All faults at once."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from groundwork.documents import printable
from groundwork.tables import LOOSE, limits, nearest, read
from panelwear.errors import FileFault
from panelwear.usage.amounts import Amount, amount
from panelwear.usage.kinds import KINDS

FILE = "usage.toml"
FOLDER = "usage"
"""Folder of the dose maps, beside it."""
ALWAYS = "always"
SHARE_SLACK = 1e-6
WHOLE = ""
"""Stands for the whole panel where a zone is named; a zone of its own lies over it."""

Codes = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Content:
    """What one zone shows for a share of the time; whatever no share is told of is black."""

    zone: str = WHOLE
    share: Amount = field(default=Amount(1.0, 1.0), metadata=amount(0, 1))
    """Share of the hours of use."""
    shows: str = ""
    """One of the kinds of ``kinds.KINDS``."""
    codes: Codes | None = field(default=None, metadata=limits(low=0, high=255))
    """Drive levels of red, green and blue."""
    light: Codes | None = field(default=None, metadata=limits(low=0, high=1))
    """Light of red, green and blue, as shares of what they give in the white of the desktop."""

    def faults(self) -> Iterator[tuple[str, str]]:
        """Say where not exactly one thing is told, or an unknown kind."""
        told = [key for key in ("shows", "codes", "light") if getattr(self, key) not in ("", None)]
        if len(told) != 1:
            had = f"got {' and '.join(told)}" if told else "got none"
            yield "", f"one of shows, codes and light says what is there; {had}"
        if self.shows and self.shows not in KINDS:
            yield "shows", f"'{self.shows}' is not known; {nearest(self.shows, KINDS)}"


@dataclass(frozen=True, slots=True)
class Stretch:
    """What was told of one stretch of time; ``None`` where nothing was. A later one lies over an earlier one."""

    since: str
    """``always``, a day (ISO 8601), or a checkpoint's name."""
    until: str = ""
    """A day, or a checkpoint's name; empty: until now. The day itself is no longer in it."""
    hours_a_day: Amount | None = field(default=None, metadata=amount(0, 24, "h"))
    """On a day of use."""
    days_a_week: Amount | None = field(default=None, metadata=amount(0, 7))
    white_cd_m2: Amount | None = field(default=None, metadata=amount(0, 10_000, "cd/m²", above=True))
    """Luminance of the white that the desktop shows."""
    peak_share: Amount | None = field(default=None, metadata=amount(0, 1, above=True))
    """The same as a share of what the panel can."""
    content: tuple[Content, ...] = field(default=(), metadata=LOOSE)
    map: str = ""
    """Dose map of screenshots, a file of the folder ``usage``."""
    map_sha256: str = ""
    pictures: int = field(default=0, metadata=limits(low=0, high=10_000_000))
    """How many screenshots it is the mean of."""
    pictures_sha256: str = ""
    """Of those screenshots, whatever they are called."""
    note: str = ""

    @property
    def tells_nothing(self) -> bool:
        """Whether nothing is told but when."""
        return self == Stretch(self.since, self.until, note=self.note)

    def faults(self) -> Iterator[tuple[str, str]]:
        """Say what does not go together."""
        # What may itself have a fault comes last: where it has, nothing behind it is asked.
        if self.map and ("/" in self.map or "\\" in self.map or not self.map.endswith(".npz")):
            yield "map", f"'{self.map}' is no file name of the folder {FOLDER} (ends in .npz)"
        for key, text in (("since", self.since), ("until", self.until)):
            if key == "since" and not text:
                yield key, f"is empty; write '{ALWAYS}', a day such as 2026-02-03, or a checkpoint's name"
        if said := out_of_order(self.since, self.until, {}):
            yield "until", said
        if self.white_cd_m2 is not None and self.peak_share is not None:
            yield "peak_share", "stands beside white_cd_m2; one of the two tells the brightness"
        for zone in dict.fromkeys(one.zone for one in self.content):
            least = sum(one.share.low for one in self.content if one.zone == zone)
            if least > 1 + SHARE_SLACK:
                where = f"zone '{zone}'" if zone else "the whole panel"
                yield "content", f"shares of time of {where} make {least:.4g}, more than 1"


@dataclass(frozen=True, slots=True)
class Usage:
    """``usage.toml``."""

    stretches: tuple[Stretch, ...] = field(default=(), metadata=LOOSE)


def day_of(text: str) -> date | None:
    """Return the day a text is, ``None`` where it is none."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def day_meant(text: str, days: Mapping[str, str]) -> date | None:
    """Return the day that a text is, or on which the checkpoint it names was begun; ``None`` where it is neither."""
    return day_of(text) or day_of(days.get(text, ""))


def out_of_order(since: str, until: str, days: Mapping[str, str]) -> str:
    """Say that a stretch holds on no day, as it ends on the day it begins or before; empty where it does not.

    Args:
        since: a day, a checkpoint's name, or ``always``.
        until: the same; empty: until now.
        days: day on which each checkpoint was begun, by its name; empty where it is not known.
    """
    begin, end = day_meant(since, days), day_meant(until, days)
    if begin is None or end is None or begin < end:
        return ""
    first, last = (text if day_of(text) else f"{text} ({days[text]})" for text in (since, until))
    return f"{last} is not later than {first}, on which it begins"


def looks_like_usage(data: dict[str, Any]) -> bool:
    """Tell a usage file from our other TOML files by its content."""
    return "stretches" in data


def parse_usage(data: dict[str, Any], file: str = FILE) -> Usage:
    """Make usage of parsed TOML; ``FileFault`` with every fault."""
    return read(Usage, data, file, FileFault)


def misfits(usage: Usage, zones: Collection[str], checkpoints: Mapping[str, str]) -> tuple[str, ...]:
    """Say what names nothing of this panel, and what holds on no day of it; a sentence each.

    Args:
        usage: what was told.
        zones: names of the panel's zones.
        checkpoints: day on which each was begun, by its name; empty where it is not known.
    """
    said = []
    for number, one in enumerate(usage.stretches, start=1):
        here = f"{FILE}: stretches[{number}]"
        for key, text in (("since", one.since), ("until", one.until)):
            if text in ("", ALWAYS if key == "since" else "") or day_of(text):
                continue
            if text not in checkpoints:
                meant = nearest(text, checkpoints, "there are:") if checkpoints else "there is none yet"
                said.append(f"{here}.{key}: '{text}' is neither a day such as 2026-02-03 nor a checkpoint; {meant}")
            elif not day_of(checkpoints[text]):
                said.append(f"{here}.{key}: on which day {text} was begun is not known, so this holds on no day")
        if order := out_of_order(one.since, one.until, checkpoints):
            said.append(f"{here}.until: {order}, so it holds on no day; put one of the two right")
        for place, part in enumerate(one.content, start=1):
            if part.zone and part.zone not in zones:
                meant = nearest(part.zone, zones, "there are:") if zones else "the panel has none"
                said.append(f"{here}.content[{place}].zone: '{part.zone}' is no zone of panel.toml; {meant}")
    return tuple(map(printable, said))
