"""Hours of use and how they are known: read from the panel's menu, counted by a person, or estimated within a range."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from groundwork.tables import limits
from panelwear.errors import UsageError
from panelwear.readings.records import text_of

Kind = Literal["read", "counted", "estimated"]
KINDS: dict[str, str] = {
    "read": "read from the panel's menu",
    "counted": "counted",
    "estimated": "estimated",
}
"""How hours are known, with the words for it."""
MOST_H = 1e6
"""Over a century; every record and every answer lies within."""
WITHIN = limits(low=0, high=MOST_H)
"""Metadata of a key of a record that holds hours of use."""
HOURS_KEYS = ("hours_kind", "hours_low", "hours_high")
"""Keys of a record beside ``hours``; without them hours were read."""
WANTED = "write hours such as 3600, '3600 counted' or a range such as 2100-2500"

_NUMBER = r"[1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?(?![\d.])|\d+(?:[.,]\d+)?(?:e[+-]?\d+)?"
# A comma before three digits parts thousands where so many can be, any other is a decimal sign.
_THOUSANDS = re.compile(r"[1-9]\d{0,2}(,\d{3})+(\.\d+)?")
_EITHER = re.compile(r"[1-9]\d{0,2}\.\d{3}")
"""A full stop before three digits is a decimal sign to one person and parts thousands to another."""
_UNIT = r"\s*(?:h|hours?)?"
_ONE = re.compile(rf"({_NUMBER}){_UNIT}", re.IGNORECASE)
_TWO = re.compile(
    rf"(?:between\s+)?({_NUMBER}){_UNIT}\s*(?:-|–|—|\.\.+|…|to\b|and\b)\s*({_NUMBER}){_UNIT}", re.IGNORECASE
)
_AROUND = re.compile(rf"({_NUMBER}){_UNIT}\s*(?:±|\+/?-)\s*({_NUMBER}){_UNIT}", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class HoursOfUse:
    """Hours of use with what is known of them."""

    value: float
    """Of a range its middle."""
    kind: Kind = "read"
    low: float = math.nan
    """The value itself unless they are estimated."""
    high: float = math.nan

    def __post_init__(self) -> None:
        """Let hours that are no range begin and end at their value."""
        if self.kind != "estimated" or not self.low <= self.value <= self.high:
            object.__setattr__(self, "low", self.value)
            object.__setattr__(self, "high", self.value)

    @property
    def is_range(self) -> bool:
        """Whether they are known within limits only."""
        return self.high > self.low

    @property
    def u(self) -> float:
        """Standard uncertainty in h: anywhere in the range is as likely (JCGM 100:2008, 4.3.7); else 0."""
        return (self.high - self.low) / (2 * math.sqrt(3))

    @property
    def text(self) -> str:
        """As ``--hours`` takes them."""
        if self.is_range:
            return f"{_plain(self.low)}-{_plain(self.high)}"
        return _plain(self.value) + (" counted" if self.kind == "counted" else "")

    @property
    def quoted(self) -> str:
        """The same as a shell takes it."""
        return f"'{self.text}'" if " " in self.text else self.text

    @property
    def words(self) -> str:
        """Return "1460 h" or "2100 to 2500 h"."""
        return between_words(self.low, self.high)

    @property
    def short(self) -> str:
        """The same where "to" stands beside it: "2100–2500 h"."""
        return f"{self.low:g}–{self.high:g} h" if self.is_range else self.words

    @property
    def told(self) -> str:
        """Return "1460 h, read from the panel's menu" or "2100 to 2500 h, estimated"."""
        return f"{self.words}, {KINDS[self.kind]}"

    def keys(self) -> dict[str, Any]:
        """Return what a record holds beside ``hours``."""
        of_range = {"hours_low": self.low, "hours_high": self.high} if self.is_range else {}
        return {"hours_kind": self.kind, **of_range}

    def all_keys(self) -> dict[str, Any]:
        """Return every key, so that an amendment says anew what an earlier one said."""
        return {"hours": self.value, "hours_kind": self.kind, "hours_low": self.low, "hours_high": self.high}


Hours = HoursOfUse | float
"""Bare numbers are hours read from the panel's menu."""


def between_words(low: float, high: float) -> str:
    """Return "2100 to 2500 h", or "1460 h" where both are alike."""
    return f"{low:g} to {high:g} h" if high > low else f"{low:g} h"


def between(low: float, high: float) -> HoursOfUse:
    """Return estimated hours."""
    return HoursOfUse((low + high) / 2, "estimated", low, high)


def hours_told(hours: float) -> str:
    """Write hours so that they read back exactly, as folders are named."""
    return text_of(hours)


def as_hours(hours: Hours) -> HoursOfUse:
    """Return hours with their kind."""
    return hours if isinstance(hours, HoursOfUse) else HoursOfUse(float(hours))


def recorded(record: Mapping[str, Any]) -> HoursOfUse:
    """Return the hours of a record (``checkpoint.json``); one that tells no kind, as older ones do, was read."""
    value, kind = float(record.get("hours", 0.0)), record.get("hours_kind", "read")
    low, high = (record.get(key) for key in HOURS_KEYS[1:])
    if kind not in KINDS or (kind == "estimated" and (low is None or high is None)):
        return HoursOfUse(value)
    return HoursOfUse(value, kind, value if low is None else float(low), value if high is None else float(high))


def record_faults(value: float, kind: str, low: float | None, high: float | None) -> Iterator[tuple[str, str]]:
    """Say what of a record's keys does not go together."""
    if kind != "estimated":
        return
    if low is None or high is None:
        yield "hours_kind", "is estimated; hours_low and hours_high must say between what"
    elif not low <= value <= high:
        yield "hours", f"{value:g} h is outside {low:g} to {high:g} h"


def parse_hours(text: str) -> HoursOfUse:
    """Read hours as a person writes them.

    ``3600``, ``3,600 h``, ``3600 counted``, ``2100-2500``, ``2,100 to 2,500 h``, ``2100..2500``, ``2300 ± 200``.

    Raises:
        ValueError: one plain sentence.
    """
    plain = " ".join(text.replace("\u2212", "-").split())
    kind, rest = _kind_of(plain)
    found = numbers_in(rest)
    if found is None:
        if _is_beyond(rest.removesuffix("h").strip()):
            raise ValueError(f"{plain}: hours of use lie within 0..1000000")
        raise ValueError(f"'{plain}': {WANTED}")
    if len(found) > 1:
        if kind in ("read", "counted"):
            raise ValueError(f"'{plain}': a range is estimated; leave '{kind}' out or give one number")
        return _range(plain, *found)
    value = found[0]
    if kind == "estimated":
        raise ValueError(f"'{plain}': estimated hours are a range; say between what, such as 2100-2500")
    _within(plain, value)
    return HoursOfUse(value, "counted" if kind == "counted" else "read")


def numbers_in(text: str, most: float = MOST_H) -> tuple[float, ...] | None:
    """Return the one number a text is, or the two ends of the range it is; ``None`` where it is neither.

    Args:
        text: as typed.
        most: the largest number that can be meant, by which it is told what parts thousands.

    Raises:
        ValueError: it may be read in two ways, or goes below zero; one plain sentence.
    """
    plain = " ".join(text.replace("\u2212", "-").split())
    if (two := _TWO.fullmatch(plain)) is not None:
        return (_number(two.group(1), most), _number(two.group(2), most))
    if (around := _AROUND.fullmatch(plain)) is not None:
        middle, half = (_number(around.group(i), most) for i in (1, 2))
        if half > middle:
            end = text_of(min(middle + half, most))
            raise ValueError(f"'{plain}': goes below 0; write the range itself, such as 0-{end}")
        return (middle - half, middle + half)
    one = _ONE.fullmatch(plain)
    return None if one is None else (_number(one.group(1), most),)


def check_hours(text: str) -> str:
    """Check hours typed into a form and return them as ``--hours`` takes them; nothing typed is no fault."""
    return parse_hours(text).text if text.strip() else ""


def overlap_told(before: HoursOfUse, after: HoursOfUse, name: str, of: str = "") -> str:
    """Say that two ranges overlap, so that hardly more than the order is known; empty where they do not.

    Args:
        before: hours of the earlier checkpoint.
        after: of the later one, whose middle is not below.
        name: of the earlier one.
        of: name of the later one, where it is not the one that is just spoken of.
    """
    if after.low >= before.high or not (before.is_range or after.is_range):
        return ""
    most = after.high - before.low
    whose = f"{of} at {after.words}" if of else after.words
    return (
        f"{whose} overlaps {name} at {before.words}: anything from none to {most:g} h of use may lie between "
        "the two, and which was first cannot be told from hours; their dates order them"
    )


def refuse_fewer(last: HoursOfUse, use: HoursOfUse) -> None:
    """Raise ``UsageError`` for hours below the last checkpoint's, and for ranges of which that cannot be known."""
    if use.value >= last.value:
        return
    if use.high > last.low and (use.is_range or last.is_range):
        raise UsageError(
            f"--hours {use.text}: the last checkpoint was at {last.words}, and the middle of {use.words} lies below "
            f"{last.value:g} h, so which of the two comes first cannot be known; hours only rise: state a narrower or "
            "later range, or correct the last one with 'panelwear amend'"
        )
    raise UsageError(f"--hours {use.text}: the last checkpoint was at {last.words}; hours only rise")


def _kind_of(text: str) -> tuple[str, str]:
    """Return the word for how hours are known, empty where there is none, and the rest."""
    words = [word.strip(",") for word in text.split(" ")]
    said = [word.lower() for word in words if word.lower() in KINDS]
    if len(said) > 1:
        raise ValueError(f"'{text}': hours are known in one way; {WANTED}")
    rest = " ".join(word for word in words if word.lower() not in KINDS)
    return (said[0] if said else ""), rest


def _number(text: str, most: float) -> float:
    if _EITHER.fullmatch(text) and float(text.replace(".", "")) <= most:
        other = f"{text.replace('.', '')} or {text.rstrip('0').removesuffix('.')}"
        raise ValueError(f"'{text}' can be {other}; write the one that is meant")
    if _THOUSANDS.fullmatch(text) is None:
        return float(text.replace(",", "."))
    whole = float(text.replace(",", ""))
    return whole if whole <= most or text.count(",") > 1 or "." in text else float(text.replace(",", "."))


def _plain(value: float) -> str:
    """Write a number so that it reads back as it is and in one way only."""
    text = text_of(value)
    return f"{text}0" if _EITHER.fullmatch(text) else text


def _is_beyond(text: str) -> bool:
    """Tell a number that no hours can be."""
    try:
        value = float(text)
    except ValueError:
        return False
    return value < 0 or value >= MOST_H


def _within(text: str, value: float) -> None:
    if not 0 <= value < MOST_H:
        raise ValueError(f"{text}: hours of use lie within 0..1000000")


def _range(text: str, low: float, high: float) -> HoursOfUse:
    _within(text, low)
    _within(text, high)
    if low >= high:
        raise ValueError(f"'{text}': a range begins with the smaller number and ends with a larger one")
    return between(low, high)
