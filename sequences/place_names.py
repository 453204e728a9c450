"""What a person calls a place of the panel, and which of how many it is: the same words in text, table and screen."""

from __future__ import annotations

from collections.abc import Iterable

from sequences.keys import CENTRE, MIDDLE, thousandths
from sequences.model import PutProbe, Step

OUTER = 200
"""Within so many thousandths of an edge a place is simply called after it; farther in, how far is said too."""
_THIRDS = (1000 / 3, 2000 / 3)
_ACROSS, _DOWN = ("left", "middle", "right"), ("upper", "middle", "lower")


def place_name(name: str) -> str:
    """Name a place in words: ``lower left`` for ``x100y900``; a zone and the centre keep their own names.

    Places that are neither near an edge nor in the middle of a direction say where they lie, so that no two points of a
    grid are called the same: ``upper left, 30 % across, 10 % down`` for ``x300y100``.
    """
    at = thousandths(name)
    if at is None:
        return name
    if at == MIDDLE:
        return CENTRE
    words = _words(*at)
    if all(part == 500 or part <= OUTER or part >= 1000 - OUTER for part in at):
        return words
    return f"{words}, {at[0] / 10:g} % across, {at[1] / 10:g} % down"


def _words(x: int, y: int) -> str:
    across, down = (sum(part > edge for edge in _THIRDS) for part in (x, y))
    if (across, down) == (1, 1):
        return "near the centre"
    if across == 1:
        return f"{_DOWN[down]} middle"
    return f"{_DOWN[down]} {_ACROSS[across]}"


def route(steps: Iterable[Step]) -> tuple[str, ...]:
    """Return the names of all places the probe is put at, in the order it first comes there."""
    return tuple(dict.fromkeys(step.place.name for step in steps if isinstance(step, PutProbe)))


def numbered(name: str, places: tuple[str, ...]) -> str:
    """Say which place of the route it is: ``place 7 of 14``; empty where there is but one, or it is none of them."""
    if len(places) < 2 or name not in places:
        return ""
    return f"place {places.index(name) + 1} of {len(places)}"


def told_place(name: str, places: tuple[str, ...]) -> str:
    """Name a place with its number: ``lower left, place 7 of 14``."""
    return ", ".join(part for part in (place_name(name), numbered(name, places)) if part)
