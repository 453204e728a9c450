"""TOML and JSON text into plain data, guarded against whatever a damaged or foreign file may hold.

``error`` is what the caller's package raises: it is called with all sentences, each beginning with the file's name.
"""

from __future__ import annotations

import json
import math
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any

Error = Callable[[tuple[str, ...]], Exception]

DEEPEST = 50
"""Tables and lists inside one another; ours have less than ten. Far below what Python's own recursion bears."""
LONGEST_NUMBER = 300
"""Digits of a whole number; one of more can be no float (1.8e308), and Python itself refuses to write one of 4,301."""
LONGEST_BITS = 1000
"""The same for numbers of any base."""


def parse_toml(raw: bytes | str, file: str, error: Error) -> dict[str, Any]:
    """Parse TOML; what is not is one sentence with line and column."""
    data: dict[str, Any] = _parsed(_TOML, raw, file, error)
    return data


def parse_json(raw: bytes | str, file: str, error: Error) -> Any:
    """Parse JSON, in which every number is finite; what is not is a sentence."""
    data = _parsed(_JSON, raw, file, error)
    if any(isinstance(value, float) and not math.isfinite(value) for value in _leaves(data)):
        wrong = [(key, value) for key, value in walked(data) if endless(value)]
        raise error(tuple(printable(f"{file}: {key}: {value} is no number") for key, value in wrong))
    return data


def printable(text: str) -> str:
    """Return a text with escapes for what would act on a terminal or break its line: a file may be anybody's."""
    return "".join(sign if sign.isprintable() else repr(sign)[1:-1] for sign in text)


def printable_lines(text: str) -> str:
    """Return a text of many lines with ``printable`` applied to each."""
    return "\n".join(map(printable, text.split("\n")))


def endless(value: object) -> bool:
    """Tell whether a value is an infinite number or none (``nan``)."""
    return isinstance(value, float) and not math.isfinite(value)


def walked(data: object, key: str = "") -> Iterator[tuple[str, Any]]:
    """Go through everything in a document, each value with its key."""
    yield key, data
    inner: list[tuple[str, Any]] = []
    if isinstance(data, dict):
        inner = [(f"{key}.{name}" if key else str(name), one) for name, one in data.items()]
    elif isinstance(data, list):
        inner = [(f"{key}[{number}]", one) for number, one in enumerate(data, start=1)]
    for name, one in inner:
        yield from walked(one, name)


def _is_long(value: object) -> bool:
    return isinstance(value, int) and value.bit_length() > LONGEST_BITS


def _leaves(data: object) -> Iterator[object]:
    """Go through what a document holds that is neither table nor list, in any order; much faster than ``walked``."""
    waiting = [data]
    while waiting:
        one = waiting.pop()
        if isinstance(one, dict):
            waiting.extend(one.values())
        elif isinstance(one, list):
            waiting.extend(one)
        else:
            yield one


@dataclass(frozen=True, slots=True)
class _Kind:
    name: str
    parse: Callable[[str], Any]
    largest: int
    """Bytes."""
    digits_counted: bool
    """Whether parsing refuses whole numbers of very many digits itself."""


def _refuse(constant: str) -> Any:
    raise ValueError(f"{constant} is no number of JSON")


def _whole(digits: str) -> int:
    if len(digits) > LONGEST_NUMBER:
        raise ValueError(f"a number of {len(digits)} digits")
    return int(digits)


_TOML = _Kind("TOML", tomllib.loads, 1_000_000, digits_counted=False)
"""What a person writes is a short text."""
_JSON = _Kind("JSON", partial(json.loads, parse_constant=_refuse, parse_int=_whole), 64_000_000, digits_counted=True)
"""The largest that the program writes has a few megabytes."""


def _parsed(kind: _Kind, raw: bytes | str, file: str, error: Error) -> Any:
    if len(raw) > kind.largest:
        raise error((f"{file}: is larger than {kind.largest} bytes; it cannot be a file of panelwear",))
    try:
        text = raw.decode("utf-8") if isinstance(raw, bytes) else raw
        data = kind.parse(text.removeprefix("\ufeff"))  # some editors mark UTF-8 so
        if _depth(data) > DEEPEST:
            raise RecursionError
        if not kind.digits_counted and any(_is_long(value) for value in _leaves(data)):
            key = next(key for key, value in walked(data) if _is_long(value))
            raise ValueError(f"{key}: a number of very many digits")
    except UnicodeDecodeError as fault:
        raise error((f"{file}: byte {fault.start}: is not UTF-8; save the file as UTF-8",)) from None
    except RecursionError:
        raise error((f"{file}: is nested too deeply to be {kind.name} of panelwear",)) from None
    except ValueError as fault:
        raise error((f"{file}: is not {kind.name} ({fault})",)) from None
    return data


def _depth(data: object) -> int:
    """Count how deep tables and lists lie, level by level: dotted keys nest without any recursion of the parser's."""
    level, depth = [data] if isinstance(data, dict | list) else [], 0
    while level and depth <= DEEPEST:
        depth += 1
        held = [
            value.values() if isinstance(value, dict) else value for value in level if isinstance(value, dict | list)
        ]
        level = [one for values in held for one in values if isinstance(one, dict | list)]
    return depth
