"""A table of a TOML file read key by key, with every fault collected: "file: key: what is wrong, what is allowed"."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Mapping, Sequence
from typing import TypeVar

T = TypeVar("T")


class Table:
    """One table; ``faults`` is shared by all tables of a file."""

    def __init__(self, data: Mapping[str, object], where: str, prefix: str, faults: list[str]) -> None:
        self._data = data
        self._where = where
        self._prefix = prefix
        self._faults = faults
        self._asked: list[str] = []

    def fault(self, key: str, sentence: str) -> None:
        """Note what is wrong with ``key``."""
        self._faults.append(f"{self._where}: {self._prefix}{key}: {sentence}")

    def has(self, key: str) -> bool:
        """Say whether the key is written."""
        return key in self._data

    def _take(self, key: str, default: T, wanted: str, good: Callable[[object], bool], *, required: bool) -> T:
        self._asked.append(key)
        if key not in self._data:
            if required:
                self.fault(key, f"missing; wanted {wanted}")
            return default
        value = self._data[key]
        if not good(value):
            self.fault(key, f"is {value!r}; wanted {wanted}")
            return default
        return value  # type: ignore[return-value]  # `good` has just said so

    def text(self, key: str, default: str = "", *, choices: Sequence[str] = (), required: bool = False) -> str:
        """Read a string, one of ``choices`` where given."""
        wanted = "one of " + ", ".join(f'"{c}"' for c in choices) if choices else "a text in quotes"
        return self._take(
            key, default, wanted, lambda v: isinstance(v, str) and (not choices or v in choices), required=required
        )

    def boolean(self, key: str, default: bool) -> bool:
        """Read true or false."""
        return self._take(key, default, "true or false", lambda v: isinstance(v, bool), required=False)

    def number(self, key: str, default: float, low: float, high: float, *, required: bool = False) -> float:
        """Read a number from ``low`` to ``high``; true and false are no numbers."""
        wanted = f"a number from {low:g} to {high:g}"
        value = self._take(key, default, wanted, lambda v: _is_number(v) and low <= v <= high, required=required)  # type: ignore[operator]
        return float(value)

    def integer(self, key: str, default: int, low: int, high: int) -> int:
        """Read a whole number from ``low`` to ``high``."""
        wanted = f"a whole number from {low} to {high}"
        return self._take(key, default, wanted, lambda v: type(v) is int and low <= v <= high, required=False)

    def numbers(self, key: str) -> tuple[float, ...]:
        """Read a list of numbers."""
        listed: list[float] = self._take(
            key,
            [],
            "a list of numbers",
            lambda v: isinstance(v, list) and all(_is_number(item) for item in v),
            required=False,
        )
        return tuple(float(item) for item in listed)

    def texts(self, key: str) -> tuple[str, ...]:
        """Read a list of strings."""
        listed: list[str] = self._take(
            key,
            [],
            "a list of texts",
            lambda v: isinstance(v, list) and all(isinstance(item, str) for item in v),
            required=False,
        )
        return tuple(listed)

    def table(self, key: str, *, required: bool = False) -> Table:
        """Read a sub-table; empty where it is missing."""
        empty: dict[str, object] = {}
        found = self._take(key, empty, f"a table [{key}]", lambda v: isinstance(v, dict), required=required)
        return Table(found, self._where, f"{self._prefix}{key}.", self._faults)

    def tables(self, key: str) -> list[Table]:
        """Read an array of tables, numbered from 1 in the faults."""
        found: list[dict[str, object]] = self._take(
            key,
            [],
            f"tables [[{key}]]",
            lambda v: isinstance(v, list) and all(isinstance(item, dict) for item in v),
            required=False,
        )
        return [
            Table(item, self._where, f"{self._prefix}{key}[{index}].", self._faults)
            for index, item in enumerate(found, start=1)
        ]

    def done(self) -> None:
        """Report every key that nothing asked for, with the nearest known name."""
        for key in self._data:
            if key not in self._asked:
                near = difflib.get_close_matches(key, self._asked, n=1)
                hint = f'did you mean "{near[0]}"?' if near else "known here: " + ", ".join(sorted(set(self._asked)))
                self.fault(key, f"unknown key; {hint}")


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)
