"""What is said, as lines that are not broken: for tests of what it says."""

from __future__ import annotations

from collections.abc import Iterable

from panelwear.compare.comparison import Comparison, Pair
from panelwear.compare.terminal_text import pair_parts, parts
from panelwear.telling.layout import text_of
from panelwear.telling.parts import Part

WIDE = 1000


def unbroken(said: Iterable[Part]) -> list[str]:
    return text_of(said, WIDE).split("\n")


def lines(found: Comparison) -> list[str]:
    return unbroken(parts(found))


def pair_lines(pair: Pair, level: float) -> list[str]:
    return unbroken(pair_parts(pair, level))
