"""What is typed of a stretch, in options, in a form or in a person's own table: the same texts, read in one way."""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from typing import Any

from groundwork.tables import nearest
from panelwear.usage.amounts import Amount, amount_reader
from panelwear.usage.kinds import KINDS
from panelwear.usage.records import ALWAYS, Content, Stretch, day_of, out_of_order

READERS: dict[str, Callable[[str], Amount]] = {
    "hours_a_day": amount_reader(0, 24, "h"),
    "days_a_week": amount_reader(0, 7),
    "white_cd_m2": amount_reader(0, 10_000, "cd/m²", above=True),
    "peak_share": amount_reader(0, 1, above=True),
}
"""By the key of ``usage.toml``."""
SHARE = amount_reader(0, 1)
HOW = "write such as 'white 90 %, dark 10 %', with one of " + ", ".join(KINDS) + ", or drive levels such as 96/112/132"
_SLASH = re.compile(r"\s*/\s*")
_CODES = re.compile(r"(\d{1,3}(?:\.\d+)?)/(\d{1,3}(?:\.\d+)?)/(\d{1,3}(?:\.\d+)?)")


@dataclass(slots=True)
class Typed:
    """What was read so far, and every fault with the key it belongs to."""

    values: dict[str, Any] = field(default_factory=dict)
    faults: list[tuple[str, str]] = field(default_factory=list)

    def read(self, key: str, text: str, reader: Callable[[str], Any]) -> None:
        """Read one text; an empty one tells nothing."""
        if not text.strip():
            return
        try:
            self.values[key] = reader(text)
        except ValueError as error:
            self.faults.append((key, str(error)))


def typed(texts: Mapping[str, str]) -> Typed:
    """Read the plain keys of a stretch; ``since`` and ``until`` stay texts."""
    found = Typed()
    for key, reader in READERS.items():
        found.read(key, texts.get(key, ""), reader)
    for key in ("since", "until", "note"):
        if text := texts.get(key, "").strip():
            found.values[key] = text
    return found


def stretch_of(found: Typed, content: tuple[Content, ...], days: Mapping[str, str]) -> Stretch | None:
    """Make a stretch of what was read; ``None`` where it has faults, which are all noted then.

    Args:
        found: what was read.
        content: what is shown.
        days: day on which each checkpoint was begun, by its name.
    """
    if found.faults:
        return None
    made = Stretch(**{"since": ALWAYS, **found.values}, content=content)
    found.faults += made.faults()
    if not found.faults and (said := out_of_order(made.since, made.until, days)):
        found.faults.append(("until", said))
    return None if found.faults else made


def content_of(text: str, zone: str = "") -> tuple[Content, ...]:
    """Read what a zone shows: ``white 90 %, dark 10 %``, ``mid``, ``96/112/132:0.5``.

    Raises:
        ValueError: one plain sentence.
    """
    found = []
    for part in (_SLASH.sub("/", part.strip()) for part in text.split(",")):
        if not part:
            why = f"'{text.strip()}': a comma parts nothing there" if text.strip() else "nothing is said to be shown"
            raise ValueError(f"{why}; {HOW}")
        word, _, share = (part.replace(":", " ", 1)).partition(" ")
        shares = _share(part, share)
        codes = _CODES.fullmatch(word)
        if codes is not None:
            red, green, blue = (float(one) for one in codes.groups())
            if max(red, green, blue) > 255:
                raise ValueError(f"'{word}': drive levels go from 0 to 255")
            found.append(Content(zone, shares, codes=(red, green, blue)))
        elif word.casefold() in KINDS:
            found.append(Content(zone, shares, shows=word.casefold()))
        else:
            near = difflib.get_close_matches(word, KINDS, n=1)
            raise ValueError(f"'{part}': {f'did you mean {near[0]!r}?' if near else 'is no kind of content'}; {HOW}")
    least = sum(one.share.low for one in found)
    if least > 1 + 1e-9:
        raise ValueError(f"'{text}': the shares make {100 * least:.0f} %, more than all of the time")
    return tuple(found)


def _share(part: str, text: str) -> Amount:
    try:
        return SHARE(text) if text.strip() else Amount(1.0, 1.0)
    except ValueError as error:
        raise ValueError(f"'{part}': {error}; {HOW}") from None


def zone_content(text: str, zones: Collection[str]) -> tuple[Content, ...]:
    """Read ``ZONE=white 90 %, dark 10 %``; without a zone it is the whole panel's. ``ValueError`` in a sentence."""
    zone, sign, shows = text.rpartition("=")
    zone = zone.strip()
    if sign and zone not in zones:
        there = nearest(zone, zones, "there are:") if zones else "the panel has none"
        raise ValueError(f"'{zone}' is no zone of panel.toml; {there}")
    return content_of(shows, zone)


def since_check(text: str, checkpoints: Collection[str], *, always: bool = True) -> str:
    """Check a day, a checkpoint's name or ``always``; ``ValueError`` in a sentence."""
    plain = text.strip()
    if not plain or day_of(plain) or plain in checkpoints or (always and plain == ALWAYS):
        return plain
    more = f" or '{ALWAYS}'" if always else ""
    raise ValueError(f"'{plain}' is neither a day such as 2026-02-03 nor a checkpoint's name{more}")
