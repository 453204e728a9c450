"""What a comparison comes to at a glance: four numbers, each since the baseline and since last time."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from panelwear.compare.change_table import JudgedChange
from panelwear.compare.channel_steps import HUES
from panelwear.compare.comparison import Pair
from panelwear.compare.formatting import is_too_little, verdict
from panelwear.telling.words import enumerated
from panelwear.uncertainty.formatting import with_uncertainty

Weight = Literal["matters", "little", "steady", "open"]
"""Changed and worth knowing of; changed by less than that; a change is ruled out; undecided or not known."""
ZONES = ("zone/", "zone-hue/")


@dataclass(frozen=True, slots=True)
class Step:
    """One change in words."""

    value: str
    """With its sign, its 95 % interval and its unit."""
    verdict: str
    weight: Weight


@dataclass(frozen=True, slots=True)
class KeyNumber:
    """One of the four."""

    key: str
    """``white``, ``white-point``, ``zone`` or ``channel``."""
    title: str
    step: Step | None
    """Between the ends of the first pair; ``None`` where that was not read at both."""
    last: Step | None
    """Since last time; ``None`` where there is no such pair or it was not read."""
    beside: str = ""
    """What it was and is, or another unit of the same."""


def key_numbers(pairs: Sequence[Pair]) -> tuple[KeyNumber, ...]:
    """Return white luminance, white point, worst zone and most worn channel of a comparison; none without pairs."""
    if not pairs:
        return ()
    return (_white(pairs), _white_point(pairs), _zone(pairs), _channel(pairs))


def row_of(pair: Pair, name: str) -> JudgedChange | None:
    """Return a line of the change table by its key."""
    return next((row for row in pair.rows if row.name == name), None)


def worth_of(row: JudgedChange) -> float:
    """Return how often a change is as large as what is worth knowing of."""
    size = abs(row.change.step.value) / row.judged.worth if row.judged.worth > 0 else math.nan
    return size if math.isfinite(size) else -1.0


def weight_of(row: JudgedChange) -> Weight:
    """Say how much a line of the change table matters."""
    if row.judged.verdict == "changed":
        return "little" if is_too_little(row.judged) else "matters"
    return "steady" if row.judged.verdict == "no change larger than" else "open"


def zone_rows(pair: Pair) -> tuple[JudgedChange, ...]:
    """Return a line a zone (its greys, or a hue where these did not change), those that changed most first."""
    rows = [row for row in pair.rows if row.name.startswith(ZONES)]
    ranked = sorted(rows, key=lambda row: (row.judged.verdict != "changed", -worth_of(row)))
    first: dict[str, JudgedChange] = {}
    for row in ranked:
        first.setdefault(zone_name(row), row)
    return tuple(first.values())


def worst_zone(pair: Pair) -> JudgedChange | None:
    """Return the line of the zone that went furthest; changed ones come first."""
    return next(iter(zone_rows(pair)), None)


def zone_name(row: JudgedChange) -> str:
    """Return the zone a line is about."""
    return row.name.split("/")[1]


def worn_channel(pair: Pair) -> JudgedChange | None:
    """Return the channel that lost more than both others, or ``None`` where that cannot or may not be told as wear."""
    found = pair.sub_pixels
    if found is None or not found.most or pair.verdicts_on_wear().get("balance") != "changed":
        return None
    return row_of(pair, f"{found.most}.relative")


def hues_of(worn: JudgedChange) -> tuple[str, str]:
    """Return the hue a channel's line is about, and the other two in words."""
    hue = worn.name.partition(".")[0]
    return hue, enumerated([other for other in HUES if other != hue])


def _step(pair: Pair | None, name: str, signed: bool = True) -> Step | None:
    row = row_of(pair, name) if pair is not None else None
    if row is None:
        return None
    why = f": {row.judged.why}" if row.judged.why else ""
    return Step(
        with_uncertainty(row.change.step, signed=signed),
        f"{verdict(row.judged, row.change.step.unit)}{why}",
        weight_of(row),
    )


def _both(pairs: Sequence[Pair], name: str, signed: bool = True) -> tuple[Step | None, Step | None]:
    return _step(pairs[0], name, signed), _step(pairs[1] if len(pairs) > 1 else None, name, signed)


def _white(pairs: Sequence[Pair]) -> KeyNumber:
    row = row_of(pairs[0], "white.Y")
    now = f"now {with_uncertainty(row.change.after)}" if row is not None else ""
    return KeyNumber("white", "White luminance", *_both(pairs, "white.Y"), now)


def _white_point(pairs: Sequence[Pair]) -> KeyNumber:
    cct = row_of(pairs[0], "white.cct")
    beside = f"CCT {with_uncertainty(cct.change.step, signed=True)}" if cct is not None else ""
    return KeyNumber("white-point", "White point, Δu'v'", *_both(pairs, "white.uv_prime", signed=False), beside)


def _zone(pairs: Sequence[Pair]) -> KeyNumber:
    row = worst_zone(pairs[0])
    if row is None:
        return KeyNumber("zone", "Worst zone", None, None)
    hue = f" ({row.name.split('/')[2]})" if row.name.startswith("zone-hue/") else ""
    changed = row.judged.verdict == "changed"
    title = f"{'Worst zone' if changed else 'Zone with the largest step'}: {zone_name(row)}{hue}"
    return KeyNumber("zone", title, *_both(pairs, row.name), f"now {with_uncertainty(row.change.after, signed=True)}")


def _channel(pairs: Sequence[Pair]) -> KeyNumber:
    row = worn_channel(pairs[0])
    if row is not None:
        hue, others = hues_of(row)
        return KeyNumber("channel", f"Most worn channel: {hue}", *_both(pairs, row.name), f"against {others}")
    return KeyNumber("channel", "Channels against each other", *_both(pairs, "balance"), _largest(pairs[0]))


def _largest(pair: Pair) -> str:
    row = row_of(pair, "balance")
    return f"largest shift: {row.change.caption.rpartition(' ')[2]}" if row is not None else ""
