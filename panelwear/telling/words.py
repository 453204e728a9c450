"""Counts in words, and numbers as a person reads them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal

MINUS = "\u2212"
"""The minus sign of everything a person reads; files of numbers (CSV, JSON) have the hyphen-minus of ASCII."""

_NOT_BY_S = {"is": "are", "was": "were", "has": "have", "does": "do"}


def counted(number: int, what: str, many: str = "") -> str:
    """Write a number of things: "1 reading", "1,236 readings".

    Args:
        number: how many.
        what: one of them.
        many: more of them; left out: with an s.
    """
    return f"{number:,} {what if number == 1 else many or f'{what}s'}".replace("-", MINUS, number < 0)


NO_BREAK = "\u00a0"
_TOGETHER = re.compile(
    r"(?<=[\d.]) (?=(?:%|cd/m²|K|h|min|s|W|mm|px|Hz|lx|°C|°)(?![\w/]))"
    r"|(?<=\d) (?=± )|(?<=±) (?=[\d.])|(?<=[<>≤≥]) (?=\d)"
)


def bound(words: str, blank: str = NO_BREAK) -> str:
    """Return words with blanks at which no line ends: between a number and its unit, and around ± < > ≤ ≥."""
    return _TOGETHER.sub(blank, words)


def with_capital(words: str) -> str:
    """Return words with a capital to begin with."""
    return words[:1].upper() + words[1:]


def as_typed(value: float) -> str:
    """Write a number a person typed with all its digits and without an exponent: "99.999999", "0.000001"."""
    return f"{Decimal(f'{value:.12g}'):f}".replace("-", MINUS)


def ended(words: str) -> str:
    """Return words with a full stop, unless they end as a sentence does already."""
    return words if words.endswith((".", "?", "!")) else f"{words}."


def enumerated(words: Sequence[str], last: str = "and") -> str:
    """Write "one", "one and two", "one, two and three"; ``last``: what stands before the last."""
    return f" {last} ".join(part for part in (", ".join(words[:-1]), *words[-1:]) if part)


def verb(number: int, one: str) -> str:
    """Return a verb that agrees with a number: "1 zone is", "2 zones are"."""
    return one if number == 1 else _NOT_BY_S.get(one, one.removesuffix("s"))


def percent(share: float) -> str:
    """Write a share as "95 %" or "0.15 %", with the space the SI wants before the sign."""
    return f"{100 * share:.3g} %".replace("-", MINUS)


def true_minus(text: str) -> str:
    """Return a formatted number with a true minus sign, and none before a zero."""
    bare = text.removeprefix("-")
    return bare if text == bare or not bare.strip("0.") else f"{MINUS}{bare}"


def whole_percent(share: float) -> str:
    """Write how much is done, as a whole number: "7 %"."""
    return f"{100 * share:.0f} %"
