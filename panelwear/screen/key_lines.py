"""Which lines of a card tell what a key does: ``up, down: one drive level brighter, darker``, ``1  read again``."""

from __future__ import annotations

import re

KEY_WORDS = frozenset(
    {"up", "down", "left", "right", "page", "home", "end", "return", "space", "escape", "tab", "backspace", "delete"}
    | {"shift", "control", "click", "wheel", "mouse", "button", "middle", "double", "arrows", "digits"}
    | {"any", "other", "key", "keys"}
)
JOINING = frozenset({"or", "and", "with", "after", "then", "a"})
NUMBERED = re.compile(r"(\d+)  (\S.*)", re.DOTALL)
TOLD = re.compile(r"([^:]{1,60}): (\S.*)", re.DOTALL)
BETWEEN = " · "
Pair = tuple[str, str]


def pairs_of(line: str) -> list[Pair]:
    """Part a line into keys and what they do; an empty list: it is a line of another kind.

    Several pairs may stand in a line, parted by a dot in the middle.
    """
    if found := NUMBERED.fullmatch(line):
        return [(found[1], found[2])]
    pairs = [_pair(piece) for piece in line.split(BETWEEN)]
    return [pair for pair in pairs if pair is not None] if all(pairs) else []


def _pair(piece: str) -> Pair | None:
    found = TOLD.fullmatch(piece)
    if found is None:
        return None
    words = re.findall(r"[^\s,;]+", found[1])
    return (found[1], found[2]) if any(map(_is_key, words)) and all(map(_may_stand, words)) else None


def _is_key(word: str) -> bool:
    return word.casefold() in KEY_WORDS or len(word) == 1 or re.fullmatch(r"[Ff]\d{1,2}", word) is not None


def _may_stand(word: str) -> bool:
    return _is_key(word) or word.casefold() in JOINING
